// One reduced outing (peers_bench write) as a CP-SAT model and as a MiniZinc model. Both say the same: a task is left out
// or done under one lead; each person, the arm, IV and ground do one thing at a time; who works somewhere walks there.

/** Who of the two does the step under a lead: its crew as a list of 0 and 1. */
const crewOf = (step, lead) => [...(step.roles & 1 ? [lead] : []), ...(step.roles & 2 ? [1 - lead] : [])];

/** A CpModelProto, with the variables' numbers that the answer is read from. */
export function cpSatModel(core) {
    const variables = [];
    const constraints = [];
    const variable = (...domain) => variables.push({ domain }) - 1;
    const not = (literal) => -literal - 1;
    const linear = (terms, low, high, ...when) =>
        constraints.push({
            linear: { vars: terms.map(([v]) => v), coeffs: terms.map(([, c]) => c), domain: [low, high] },
            ...(when.length > 0 && { enforcementLiteral: when }),
        });
    const far = 1_000_000;
    const { tasks, steps, out_s: out, home_by_s: home } = core;

    const on = tasks.map((task) => [0, 1].map((lead) => variable(0, task.possible && task.leads.includes(lead) ? 1 : 0)));
    const done = tasks.map((task) => variable(task.required ? 1 : 0, 1));
    tasks.forEach((task, t) => {
        linear([[on[t][0], 1], [on[t][1], 1], [done[t], -1]], 0, 0);
        for (const other of task.needs) linear([[done[t], 1], [done[other], -1]], -1, 0);
        for (const other of task.not_with) linear([[done[t], 1], [done[other], 1]], 0, 1);
    });
    const start = steps.map(() => variable(out, home));
    const endTerms = (s, sign) => [[start[s], sign], ...[0, 1].map((l) => [on[steps[s].task][l], sign * steps[s].duration_s[l]])];

    const lanes = { arm: [], iv: [], ground: [], 0: [], 1: [] };
    const nodes = [[], []]; // by crew: {step, literal}
    const work = [[], []]; // by crew: terms of the time they are busy
    steps.forEach((step, s) => {
        const [first, second] = on[step.task];
        for (const lead of [0, 1]) {
            const literal = on[step.task][lead];
            if (step.starts_s)
                if (step.starts_s[lead].length === 0) linear([[literal, 1]], 0, 0);
                else
                    constraints.push({
                        enforcementLiteral: [literal],
                        linear: { vars: [start[s]], coeffs: [1], domain: step.starts_s[lead].flat() },
                    });
            const duration = step.duration_s[lead];
            const interval =
                constraints.push({
                    enforcementLiteral: [literal],
                    interval: {
                        start: { vars: [start[s]], coeffs: [1], offset: 0 },
                        size: { vars: [], coeffs: [], offset: duration },
                        end: { vars: [start[s]], coeffs: [1], offset: duration },
                    },
                }) - 1;
            linear([[start[s], 1]], out, home - duration, literal);
            for (const lane of ['arm', 'iv', 'ground']) if (step[lane]) lanes[lane].push(interval);
            for (const c of crewOf(step, lead)) {
                lanes[c].push(interval);
                work[c].push([literal, duration]);
            }
            const task = tasks[step.task];
            if (task.ends_by_s !== undefined) linear([[start[s], 1]], 0, task.ends_by_s - duration, literal);
        }
        for (const c of [0, 1]) {
            if (step.roles === 3) nodes[c].push({ s, literal: done[step.task] });
            if (step.roles === 1) nodes[c].push({ s, literal: c === 0 ? first : second });
            if (step.roles === 2) nodes[c].push({ s, literal: c === 0 ? second : first });
        }
    });
    for (const intervals of Object.values(lanes)) if (intervals.length > 1) constraints.push({ noOverlap: { intervals } });
    for (const { before, after, gap_s, within_s } of core.links)
        linear([[start[after], 1], ...endTerms(before, -1)], gap_s, within_s < 0 ? far : within_s,
            ...new Set([done[steps[before].task], done[steps[after].task]]));
    tasks.forEach((task, t) => {
        for (const unit of task.units)
            for (const s of unit.slice(1)) linear([[start[s], 1], [start[unit[0]], -1]], 0, 0);
        if (task.starts_by_s !== undefined && task.units.length > 0) {
            // Its first step is that of its first unit, or one that may come before: one of them is early enough.
            const early = task.units.map((unit) => {
                const literal = variable(0, 1);
                linear([[start[unit[0]], 1]], 0, task.starts_by_s, literal);
                return literal;
            });
            constraints.push({ enforcementLiteral: [done[t]], boolOr: { literals: early } });
        }
        for (const earlier of task.after)
            for (const after of task.units.flat())
                for (const before of tasks[earlier].units.flat())
                    linear([[start[after], 1], ...endTerms(before, -1)], 0, far, done[t], done[earlier]);
    });
    // One literal a pair says which comes first; it binds each person who does both, with the way between. (A circuit of
    // arcs for each person says the same and was far slower to find anything here.)
    const follows = new Set(core.links.map(({ before, after }) => `${before} ${after}`));
    const literalOf = [0, 1].map((c) => new Map(nodes[c].map(({ s, literal }) => [s, literal])));
    const { walk_s: walk, airlock } = core;
    for (const c of [0, 1])
        for (const [s, literal] of literalOf[c]) {
            linear([[start[s], 1]], out + walk[c][airlock][steps[s].at], far, literal);
            linear(endTerms(s, 1), 0, home - walk[c][steps[s].to][airlock], literal);
        }
    for (let a = 0; a < steps.length; ++a)
        for (let b = a + 1; b < steps.length; ++b) {
            const both = [0, 1].filter((c) => literalOf[c].has(a) && literalOf[c].has(b));
            if (both.length === 0) continue;
            const first = follows.has(`${a} ${b}`) ? variable(1, 1) : follows.has(`${b} ${a}`) ? variable(0, 0) : variable(0, 1);
            for (const c of both) {
                const when = new Set([literalOf[c].get(a), literalOf[c].get(b)]);
                linear([[start[b], 1], ...endTerms(a, -1)], walk[c][steps[a].to][steps[b].at], far, first, ...when);
                linear([[start[a], 1], ...endTerms(b, -1)], walk[c][steps[b].to][steps[a].at], far, not(first), ...when);
            }
        }
    for (const c of [0, 1]) {
        const sums = new Map();
        for (const [v, amount] of work[c]) sums.set(v, (sums.get(v) ?? 0) + amount);
        linear([...sums], 0, home - out); // implied; helps the relaxation
    }
    const valued = tasks.map((task, t) => [done[t], -task.value]).filter(([, value]) => value !== 0);
    return {
        proto: {
            variables,
            constraints,
            objective: { vars: valued.map(([v]) => v), coeffs: valued.map(([, c]) => c), scalingFactor: -1 },
        },
        on,
        start,
    };
}

const list = (values) => `[${values.join(', ')}]`;
const table = (rows) => `[|${rows.map((row) => row.join(', ')).join(' | ')}|]`;
const starts = (ranges, out, home) => (ranges ? ranges.map(([a, b]) => `${a}..${b}`).join(' union ') || '{}' : `${out}..${home}`);

/** The same for MiniZinc: model and data in one text. */
export function miniZincModel(core) {
    const { tasks, steps, out_s: out, home_by_s: home } = core;
    const lines = ['include "gecode.mzn";', `int: out = ${out};`, `int: home = ${home};`];
    lines.push(
        `array[1..${tasks.length}] of int: value = ${list(tasks.map((t) => t.value))};`,
        `array[1..${tasks.length}] of var bool: done;`,
        `array[1..${tasks.length}] of var 0..1: lead;`,
        `array[1..${steps.length}] of var out..home: start;`,
        `array[1..${steps.length}, 0..1] of int: duration = array2d(1..${steps.length}, 0..1, ${list(steps.flatMap((s) => s.duration_s))});`,
        `array[1..${steps.length}] of int: task = ${list(steps.map((s) => s.task + 1))};`,
        `array[1..${steps.length}] of int: roles = ${list(steps.map((s) => s.roles))};`,
        `array[1..${steps.length}] of int: at = ${list(steps.map((s) => s.at + 1))};`,
        `array[1..${steps.length}] of int: goes = ${list(steps.map((s) => s.to + 1))};`,
        `array[1..${steps.length}] of set of int: lanes = ${list(
            steps.map((s) => `{${[s.arm && 1, s.iv && 2, s.ground && 3].filter(Boolean).join(', ')}}`),
        )};`,
        `array[0..1, 1..${core.walk_s[0].length}, 1..${core.walk_s[0].length}] of int: walk = array3d(0..1, 1..${core.walk_s[0].length}, 1..${core.walk_s[0].length}, ${list(core.walk_s.flat(2))});`,
        `array[1..${steps.length}, 0..1] of set of int: ok = array2d(1..${steps.length}, 0..1, ${list(
            steps.flatMap((s) => [0, 1].map((l) => starts(s.starts_s?.[l], out, home))),
        )});`,
        `int: airlock = ${core.airlock + 1};`,
        `array[1..${steps.length}] of var int: last = [duration[s, 0] + lead[task[s]] * (duration[s, 1] - duration[s, 0]) | s in 1..${steps.length}];`,
        `array[1..${steps.length}, 0..1] of var bool: works = array2d(1..${steps.length}, 0..1, [done[task[s]] /\\ (if roles[s] = 3 then true elseif roles[s] = 1 then lead[task[s]] = c elseif roles[s] = 2 then lead[task[s]] = 1 - c else false endif) | s in 1..${steps.length}, c in 0..1]);`,
        `constraint forall(s in 1..${steps.length})(done[task[s]] -> start[s] + last[s] <= home);`,
        `constraint forall(s in 1..${steps.length})(not done[task[s]] -> start[s] = out);`,
        `constraint forall(s in 1..${steps.length}, l in 0..1 where ok[s, l] != out..home)((done[task[s]] /\\ lead[task[s]] = l) -> start[s] in ok[s, l]);`,
        `constraint forall(s in 1..${steps.length}, c in 0..1 where roles[s] > 0)(works[s, c] -> (start[s] >= out + walk[c, airlock, at[s]] /\\ start[s] + last[s] + walk[c, goes[s], airlock] <= home));`,
        `constraint forall(a, b in 1..${steps.length}, c in 0..1 where a < b /\\ roles[a] > 0 /\\ roles[b] > 0)((works[a, c] /\\ works[b, c]) -> (start[a] + last[a] + walk[c, goes[a], at[b]] <= start[b] \\/ start[b] + last[b] + walk[c, goes[b], at[a]] <= start[a]));`,
        `constraint forall(a, b in 1..${steps.length} where a < b /\\ card(lanes[a] intersect lanes[b]) > 0)((done[task[a]] /\\ done[task[b]]) -> (start[a] + last[a] <= start[b] \\/ start[b] + last[b] <= start[a]));`,
    );
    tasks.forEach((task, t) => {
        const me = `done[${t + 1}]`;
        if (task.required) lines.push(`constraint ${me};`);
        if (!task.possible) lines.push(`constraint not ${me};`);
        if (task.leads.length === 1) lines.push(`constraint lead[${t + 1}] = ${task.leads[0]};`);
        lines.push(`constraint not ${me} -> lead[${t + 1}] = ${task.leads[0] ?? 0};`);
        for (const other of task.needs) lines.push(`constraint ${me} -> done[${other + 1}];`);
        for (const other of task.not_with) lines.push(`constraint not (${me} /\\ done[${other + 1}]);`);
        for (const unit of task.units)
            for (const s of unit.slice(1)) lines.push(`constraint start[${s + 1}] = start[${unit[0] + 1}];`);
        for (const s of task.ends_by_s === undefined ? [] : task.units.flat())
            lines.push(`constraint ${me} -> start[${s + 1}] + last[${s + 1}] <= ${task.ends_by_s};`);
        if (task.starts_by_s !== undefined && task.units.length > 0)
            lines.push(`constraint ${me} -> (${task.units.map((u) => `start[${u[0] + 1}] <= ${task.starts_by_s}`).join(' \\/ ')});`);
        for (const earlier of task.after)
            for (const after of task.units.flat())
                for (const before of tasks[earlier].units.flat())
                    lines.push(
                        `constraint (${me} /\\ done[${earlier + 1}]) -> start[${before + 1}] + last[${before + 1}] <= start[${after + 1}];`,
                    );
    });
    for (const { before, after, gap_s, within_s } of core.links) {
        const end = `start[${before + 1}] + last[${before + 1}]`;
        lines.push(
            `constraint (done[task[${before + 1}]] /\\ done[task[${after + 1}]]) -> (start[${after + 1}] >= ${end} + ${gap_s}${
                within_s < 0 ? '' : ` /\\ start[${after + 1}] <= ${end} + ${within_s}`
            });`,
        );
    }
    const byValue = tasks.map((_, t) => t + 1).sort((a, b) => tasks[a - 1].value - tasks[b - 1].value);
    // Nothing optional at first, the least valuable left out first: a bound on the total then lets one more in.
    lines.push(
        'var int: total = sum(t in index_set(done))(value[t] * done[t]);',
        `array[1..${tasks.length}] of int: rank = ${list(byValue)};`,
        'solve :: seq_search([bool_search([done[t] | t in rank], input_order, indomain_min), int_search(lead, first_fail, indomain_random), int_search(start, smallest, indomain_min)])',
        '  :: restart_constant(400) :: relax_and_reconstruct([done[t] | t in 1..length(done)] ++ lead ++ start, 70) maximize total;',
        'output ["\\(total);\\([if fix(done[t]) then fix(lead[t]) else -1 endif | t in index_set(done)]);\\(start)\\n"];',
    );
    return lines.join('\n') + '\n';
}
