import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { contextOf } from "../../src/prove/context.js";
import { faultsOnTail } from "../../src/prove/coverage/reveal.js";
import { type Size, synthetic } from "./synthetic.js";

/** Sizes and aims as the project set itself; `BENCH_SYSTEMS=20` measures more. What takes longer than the patience is unproved. */
const PATIENCE = 60_000;
const ROWS: readonly { readonly size: Size; readonly systems: number; readonly aim: string }[] = [
  { size: { controls: 100, steps: 100, branches: 4, rules: 1, lanes: false }, systems: 5, aim: "1 s" },
  { size: { controls: 100, steps: 100, branches: 4, rules: 1, lanes: true }, systems: 5, aim: "1 s" },
  {
    size: { controls: 400, steps: 300, branches: 8, rules: 1, lanes: false },
    systems: 3,
    aim: "5 s, none beyond 10 s",
  },
];

test.each(ROWS)(
  "all faults of $size.controls controls, $size.steps steps, lanes $size.lanes",
  { timeout: 3_600_000 },
  (row) => {
    const systems = Number(process.env.BENCH_SYSTEMS ?? row.systems);
    timed(1000, row.size);
    const timings = Array.from({ length: systems }, (_, index) => timed(index + 1, row.size));
    const times = timings.map(({ time }) => time).sort((a, b) => a - b);
    const sum = (pick: (one: Timing) => number) => timings.reduce((total, one) => total + pick(one), 0);
    console.info(
      `${sum(({ faults }) => faults)} faults of ${systems} systems, ${sum(({ unproved }) => unproved)} unproved; median ${times[Math.floor(times.length / 2)]!.toFixed(0)} ms, most ${times.at(-1)!.toFixed(0)} ms (aim: ${row.aim})`,
    );
    expect(sum(({ faults }) => faults)).toBeGreaterThan(0);
  },
);

interface Timing {
  readonly time: number;
  readonly faults: number;
  readonly unproved: number;
}

function timed(seed: number, size: Size): Timing {
  const { program, procedure, system } = synthetic(seed, size);
  const tail = system.tails[0]!;
  const began = performance.now();
  const deadline = () => performance.now() - began > PATIENCE;
  const context = contextOf(program, procedure, buildModel(program, system, procedure, tail), { deadline });
  const rows = faultsOnTail(context, tail);
  const unproved = rows.filter(({ revealed }) => revealed === "unproved").length;
  return { time: performance.now() - began, faults: rows.length, unproved };
}
