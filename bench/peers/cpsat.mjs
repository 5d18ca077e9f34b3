// Solves one CP-SAT model (JSON on standard input: {proto, wall_s}) with one worker. The solver keeps this process busy
// until its own limit on the wall is over; answers are only handed over then. Its log says meanwhile what it has: so
// whoever ends this process by force still knows the best value and bound. The last line is the answer as JSON.
import { readFileSync } from 'node:fs';
import { CpModel, CpSolver } from 'or-tools-wasm/cp-sat';

const { proto, wall_s } = JSON.parse(readFileSync(0, 'utf8'));
const cpu = () => process.cpuUsage().user / 1e6 + process.cpuUsage().system / 1e6;
const warm = new CpModel();
warm.maximize(warm.newIntVar(0, 1, 'x'));
await new CpSolver().solve(warm, { numSearchWorkers: 1 });

const begin = cpu();
console.log(JSON.stringify({ status: 'started', cpu_s: begin }));
const solver = new CpSolver();
const status = await solver.solve(new CpModel(proto), {
    numSearchWorkers: 1,
    maxTimeInSeconds: wall_s,
    logSearchProgress: true,
    logToStdout: true,
});
const response = solver.response();
console.log(
    JSON.stringify({
        solution: response?.solution?.length ? response.solution.map(Number) : undefined,
        bound: response?.bestObjectiveBound,
        status: solver.statusName(status),
        cpu_s: cpu() - begin,
    }),
);
process.exit(0);
