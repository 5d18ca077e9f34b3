// Solves one CP-SAT model (JSON on standard input: {proto, seconds}) with one worker and prints the last answer and the
// bound found within so many CPU seconds of this process, reading the model and starting the module left out.
import { readFileSync } from 'node:fs';
import { CpModel, CpSolver } from 'or-tools-wasm/cp-sat';

const { proto, seconds } = JSON.parse(readFileSync(0, 'utf8'));
const cpu = () => process.cpuUsage().user / 1e6 + process.cpuUsage().system / 1e6;
const warm = new CpModel();
warm.maximize(warm.newIntVar(0, 1, 'x'));
await new CpSolver().solve(warm, { numSearchWorkers: 1 });

const begin = cpu();
let best = null;
let bound = null;
const finish = (status) => {
    console.log(JSON.stringify({ ...best, bound, status, cpu_s: cpu() - begin }));
    process.exit(0);
};
const watch = setInterval(() => cpu() - begin > seconds && finish('stopped'), 50);
// The watch above ends it by CPU seconds; its own limit is on the wall and must not come first on a busy machine.
const solver = new CpSolver();
const status = await solver.solve(
    new CpModel(proto),
    { numSearchWorkers: 1, maxTimeInSeconds: 100 * seconds },
    {
        onSolution: (response) => {
            best = { solution: response.solution.map(Number), at_s: cpu() - begin };
            bound = response.bestObjectiveBound ?? bound;
        },
        onBestBound: (value) => (bound = value),
    },
);
clearInterval(watch);
const response = solver.response();
if (response?.solution?.length) best = { solution: response.solution.map(Number), at_s: best?.at_s ?? cpu() - begin };
bound = response?.bestObjectiveBound ?? bound;
finish(solver.statusName(status));
