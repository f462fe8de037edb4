import { expect, test } from "vitest";
import type { Finding } from "../../src/diagnostics/finding.js";
import { proveProgram } from "../../src/prove/prove.js";
import { interpret, type OracleFinding } from "../oracle/interpreter.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** More, or other, worlds than the suite's own: `OTHERS_WORLDS=2000 OTHERS_SEED=100000 npx vitest run tests/prove/others.test.ts`. */
const WORLDS = Number(process.env.OTHERS_WORLDS ?? 120);
const FIRST = Number(process.env.OTHERS_SEED ?? 1);

/**
 * Beside the step to blame a finding names the others that can break the rule first. The interpreter goes every path of worlds with one
 * tail: none of the steps that it finds may be missing. (Of a change in a pause the prover may name an act too many: all that can be the
 * last before the place. Stated times are left out: which lane is to blame is read in more than one way.)
 */
test(`no step that can break a rule first is missing in ${WORLDS} random worlds`, { timeout: 600_000 }, () => {
  const missing: string[] = [];
  let several = 0;
  for (let seed = FIRST; seed < FIRST + WORLDS; seed++) {
    const world = worldFrom(randomWorld(seed));
    if (world.system.tails.length > 1) continue;
    const found = interpreted(world);
    if (!found) continue;
    const proved = proveProgram(world.program).findings.filter(
      ({ subject }) => subject.procedure === world.procedure.id,
    );
    for (const { code, rule, step, also } of found.filter(isOfRule)) {
      const own = proved.find((one) => one.code === code && one.subject.rule === rule);
      if (!own) continue;
      if (also.length > 0) several++;
      for (const name of [step, ...also])
        if (!name.startsWith("(") && !namesOf(own).includes(name)) missing.push(`seed ${seed}, ${rule}: ${name}`);
    }
  }
  expect(missing.slice(0, 5)).toEqual([]);
  expect(several).toBeGreaterThan(WORLDS / 30);
});

function interpreted({ program, procedure }: ReturnType<typeof worldFrom>): readonly OracleFinding[] | undefined {
  try {
    return interpret(program, procedure, { limit: 3_000 }).findings;
  } catch {
    return undefined;
  }
}

function isOfRule({ code, severity }: OracleFinding): boolean {
  return /^order\//.test(code) && !/already-so|idle|within/.test(code) && severity !== "info";
}

function namesOf({ subject, also }: Finding): readonly string[] {
  return [...(subject.step ? [subject.step] : []), ...(also ?? [])];
}
