import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { modelOf, type Part } from "./promela/model.js";

export interface SpinAnswer {
  /** For each part the questions answered with yes, such as a rule that can be broken. */
  readonly hits: readonly ReadonlySet<string>[];
  readonly states: number;
  /** What the verifier itself took, without making and compiling it. */
  readonly milliseconds: number;
}

/** Has SPIN search every state of the parts, numbered as they stand in the list. Throws where the search was not whole. */
export function runSpin(parts: readonly Part[], optimise: "-O0" | "-O2" = "-O0"): SpinAnswer {
  if (parts.reduce((sum, part) => sum + part.processTypes, 1) > MOST_TYPES)
    throw new Error("too many kinds of processes for SPIN");
  const folder = mkdtempSync(join(tmpdir(), "proofcard-spin-"));
  try {
    const run = (program: string, args: readonly string[]): string => {
      const ran = spawnSync(program, args, { cwd: folder, encoding: "utf8", maxBuffer: 1 << 28 });
      if (ran.status !== 0) throw new Error(`${program}: ${ran.error?.message ?? ran.stdout + ran.stderr}`);
      return ran.stdout;
    };
    writeFileSync(join(folder, "model.pml"), modelOf(parts));
    run("spin", ["-a", "model.pml"]);
    run("gcc", ["-w", optimise, "-DSAFETY", "-DNOREDUCE", "-DVECTORSZ=512", "-DMEMLIM=1500", "-o", "pan", "pan.c"]);
    const began = performance.now();
    const out = run("./pan", ["-E", "-m1000000"]);
    return { ...read(parts, out), milliseconds: performance.now() - began };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** SPIN numbers the kinds of its processes in eight bits, and goes wrong without a word beyond. */
const MOST_TYPES = 255;

function read(parts: readonly Part[], out: string): Omit<SpinAnswer, "milliseconds"> {
  if (!/errors: 0/.test(out) || /not completed|max search depth too small|out of memory/.test(out))
    throw new Error(`no whole search:\n${out}`);
  const hits = parts.map(() => new Set<string>());
  for (const [, part, question] of out.matchAll(/^HIT (\d+) (\d+)$/gm))
    hits[Number(part)]!.add(parts[Number(part)]!.questions[Number(question)]!);
  return { hits, states: Number(/([\d.e+]+) states, stored/.exec(out)?.[1] ?? Number.NaN) };
}
