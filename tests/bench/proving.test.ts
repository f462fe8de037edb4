import { spawnSync } from "node:child_process";
import { expect, test } from "vitest";
import type { Size } from "./synthetic.js";
import { builtWorker } from "./worker.js";

const WORKER = builtWorker("time-proving");

/** Seconds that one question may take; it is then cut off, and counts as unproved or, where a way was found, as violated. */
const PATIENCE = 3;

/** Other systems that are proved first: the figures are of a process that is warm. */
const WARMING = 4;

/** Sizes and aims as the project set itself: all rules of one procedure. `BENCH_SYSTEMS=20` measures more systems. */
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
    const { timings, megabytes } = proving(size, systems);
    const sums = timings.map(({ rules }) => rules.reduce((sum, one) => sum + one, 0));
    const each = timings.flatMap(({ rules }) => rules);
    const verdicts = timings.flatMap((timing) => timing.verdicts);
    const share = (verdict: string) => `${verdicts.filter((one) => one === verdict).length} ${verdict}`;
    console.info(
      [
        `${size.controls} controls, ${size.steps} steps, ${size.branches} branches, loop, 2 lanes, ${size.rules} rules; seeds 1 to ${systems}; ms, median / max`,
        `  all rules of one procedure ${shown(sums)} (aim: median at most ${aim})`,
        `  one rule ${shown(each)}; ${share("holds")}, ${share("violated")}, ${share("unproved")}`,
        `  all but the rules ${shown(timings.map(({ whole }) => whole))}; memory ${Math.round(megabytes)} MB at most`,
      ].join("\n"),
    );
    expect(verdicts.length).toBe(systems * size.rules);
  },
);

function proving(size: Size, systems: number): { readonly timings: readonly Timing[]; readonly megabytes: number } {
  const args = [WORKER, JSON.stringify(size), String(systems), String(WARMING), String(PATIENCE)];
  const { stdout, status, stderr } = spawnSync(process.execPath, args, { encoding: "utf8", maxBuffer: 2 ** 26 });
  if (status !== 0) throw new Error(stderr);
  return JSON.parse(stdout);
}

function shown(times: readonly number[]): string {
  const sorted = [...times].sort((a, b) => a - b);
  return `${round(sorted[Math.floor(sorted.length / 2)]!)} / ${round(sorted.at(-1)!)}`;
}

function round(time: number): string {
  return time < 10 ? time.toFixed(1) : time.toFixed(0);
}
