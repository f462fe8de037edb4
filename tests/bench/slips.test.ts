import { spawnSync } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { readProgram } from "../../src/pipeline.js";
import type { SlipRow } from "../../src/program/coverage.js";
import type { Procedure } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import type { Tail } from "../../src/program/system.js";
import { KnownRows } from "../../src/prove/coverage/known-rows.js";
import { slipsOnTail } from "../../src/prove/coverage/slip-verdicts.js";
import { slipsOf } from "../../src/prove/coverage/slips.js";
import { PROOFCARD, ROOT } from "../cli/run.js";

const EXAMPLE = join(ROOT, "examples", "merrow-m46");

/** The project's own aim is 20 times. */
test("all slips of a repository, beside a check of it in a fresh process", { timeout: 3_600_000 }, () => {
  const checks = Array.from({ length: 3 }, () =>
    timed(() => spawnSync(process.execPath, [PROOFCARD, "check", EXAMPLE])),
  );
  const check = checks.map(({ time }) => time).sort((a, b) => a - b)[1]!;
  const program = readProgram(yamlFiles());
  const slips = timed(() => [...program.procedures.values()].flatMap((procedure) => slipsOfAll(program, procedure)));
  const unproved = slips.result.filter(({ verdict }) => verdict === "unproved").length;
  console.info(
    `${slips.result.length} slips ${Math.round(slips.time)} ms, ${unproved} unproved; check ${Math.round(check)} ms: ratio ${(slips.time / check).toFixed(1)} (aim: 20)`,
  );
  expect(slips.result.length).toBeGreaterThan(0);
});

/** On each tail that differs from those before it in what the procedure asks for. */
function slipsOfAll(program: Program, procedure: Procedure): readonly SlipRow[] {
  const system = program.systems.get(procedure.system)!;
  const known = new KnownRows();
  const distinct: Tail[] = [];
  for (const tail of system.tails) {
    const fits = [...buildModel(program, system, procedure, tail).world.fitsConsulted];
    if (!distinct.some((one) => fits.every((fit) => one.fit.get(fit) === tail.fit.get(fit)))) distinct.push(tail);
  }
  return distinct.flatMap((tail) =>
    slipsOnTail({ program, procedure, tail, limits: {}, known }, slipsOf(procedure, system)),
  );
}

function timed<T>(work: () => T): { readonly time: number; readonly result: T } {
  const began = performance.now();
  const result = work();
  return { time: performance.now() - began, result };
}

function yamlFiles() {
  const names = readdirSync(EXAMPLE, { recursive: true, encoding: "utf8" });
  return names
    .filter((name) => name.endsWith(".yaml"))
    .map((path) => ({ path, text: readFileSync(join(EXAMPLE, path), "utf8") }));
}
