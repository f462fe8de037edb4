import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { contextOf } from "../../src/prove/context.js";
import { proveRule } from "../../src/prove/rules.js";
import { searchWhole } from "../../src/prove/whole/search.js";
import { type Size, synthetic } from "./synthetic.js";

/** Seconds that one question may take; it is then cut off, and counts as unproved or, where a way was found, as violated. `BENCH_SYSTEMS=20` measures more. */
const PATIENCE = 3;

/** Other systems that are asked first: the figures are of a process that is warm. */
const WARMING = 4;

/** Sizes and aims as the project set itself: all rules of one procedure, in a process that is warm. */
const SIZES: readonly { readonly size: Size; readonly systems: number; readonly aim: string }[] = [
  { size: { controls: 100, steps: 100, branches: 4, rules: 30, lanes: true }, systems: 7, aim: "150 ms" },
  { size: { controls: 400, steps: 300, branches: 8, rules: 50, lanes: true }, systems: 2, aim: "2 s" },
];

interface Timing {
  readonly rules: readonly number[];
  readonly whole: number;
  readonly verdicts: readonly string[];
}

test.each(SIZES)(
  "$size.controls controls, $size.steps steps, $size.branches branches, $size.rules rules",
  { timeout: 3_600_000 },
  (row) => {
    const { size, aim } = row;
    const systems = Number(process.env.BENCH_SYSTEMS ?? row.systems);
    for (let seed = 1000; seed < 1000 + WARMING; seed++) timed(seed, size);
    const timings = Array.from({ length: systems }, (_, index) => timed(index + 1, size));
    const sums = timings.map(({ rules }) => rules.reduce((sum, one) => sum + one, 0));
    const each = timings.flatMap(({ rules }) => rules);
    const verdicts = timings.flatMap((timing) => timing.verdicts);
    const share = (verdict: string) => `${verdicts.filter((one) => one === verdict).length} ${verdict}`;
    console.info(
      [
        `${size.controls} controls, ${size.steps} steps, ${size.branches} branches, loop, 2 lanes, ${size.rules} rules; seeds 1 to ${systems}; ms, median / max`,
        `  all rules of one procedure ${shown(sums)} (aim: median at most ${aim})`,
        `  one rule ${shown(each)}; ${share("holds")}, ${share("violated")}, ${share("unproved")}`,
        `  all but the rules ${shown(timings.map(({ whole }) => whole))}; memory ${Math.round(process.resourceUsage().maxRSS / 1024)} MB at most`,
      ].join("\n"),
    );
    expect(verdicts.length).toBe(systems * size.rules);
  },
);

/** What each rule takes, and all the other questions together, in milliseconds. */
function timed(seed: number, size: Size): Timing {
  const { program, procedure, system } = synthetic(seed, size);
  let until = Number.POSITIVE_INFINITY;
  const deadline = () => performance.now() > until;
  const measure = <T>(work: () => T): [T, number] => {
    const began = performance.now();
    until = began + PATIENCE * 1000;
    const result = work();
    return [result, performance.now() - began];
  };
  const model = buildModel(program, system, procedure, system.tails[0]!);
  const context = contextOf(program, procedure, model, { deadline });
  const [, whole] = measure(() => searchWhole(context));
  const results = model.rules.map((rule) => measure(() => proveRule(context, rule)));
  return { whole, rules: results.map(([, time]) => time), verdicts: results.map(([{ verdict }]) => verdict) };
}

function shown(times: readonly number[]): string {
  const sorted = [...times].sort((a, b) => a - b);
  return `${round(sorted[Math.floor(sorted.length / 2)]!)} / ${round(sorted.at(-1)!)}`;
}

function round(time: number): string {
  return time < 10 ? time.toFixed(1) : time.toFixed(0);
}
