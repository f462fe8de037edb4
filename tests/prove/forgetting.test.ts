import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import type { Program } from "../../src/program/program.js";
import { type Context, contextOf } from "../../src/prove/context.js";
import { faultsOnTail } from "../../src/prove/coverage/reveal.js";
import { slipsOnTail } from "../../src/prove/coverage/slip-verdicts.js";
import { slipsOf } from "../../src/prove/coverage/slips.js";
import { proveProgram } from "../../src/prove/prove.js";
import { synthetic } from "../bench/synthetic.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** More, or other, worlds than the suite's own: `FORGET_WORLDS=2000 FORGET_SEED=100000 npx vitest run tests/prove/forgetting.test.ts`. */
const WORLDS = Number(process.env.FORGET_WORLDS ?? 200);
const FIRST = Number(process.env.FORGET_SEED ?? 1);
/** Every how many worlds it is asked as well what shows faults and slips. */
const COVERED = 10;

/** Random worlds are too small for anything to be forgotten in them: here it is, and then not, in each of them. */
test(`${WORLDS} random worlds have the same answers where what nothing reads any more is forgotten`, {
  timeout: 3_600_000,
}, () => {
  const different: string[] = [];
  for (let seed = FIRST; seed < FIRST + WORLDS; seed++) {
    const [forgetful, others] = [answersOf(seed, 0), answersOf(seed, Number.POSITIVE_INFINITY)];
    if (forgetful.join("\n") !== others.join("\n")) different.push(`seed ${seed}`);
  }
  expect(different.slice(0, 5)).toEqual([]);
});

test("so have larger systems", () => {
  const size = { controls: 40, steps: 40, branches: 4, rules: 2, lanes: false };
  for (const seed of [1, 2, 3, 17, 21]) {
    const [forgetful, others] = [0, Number.POSITIVE_INFINITY].map((forgetFrom) =>
      proved(synthetic(seed, size).program, forgetFrom),
    );
    expect(forgetful, `seed ${seed}`).toEqual(others);
  }
});

/** Of a world of its own: some answers are kept for a procedure. */
function answersOf(seed: number, forgetFrom: number): readonly string[] {
  const { program, procedure, system } = worldFrom(randomWorld(seed));
  const answers = proved(program, forgetFrom);
  if (seed % COVERED !== 0) return answers;
  const [tail] = system.tails;
  const context: Context = contextOf(program, procedure, buildModel(program, system, procedure, tail!), { forgetFrom });
  const faults = faultsOnTail(context, tail!).map(({ fault, revealed, first }) =>
    [fault.id, revealed, first].join(" "),
  );
  const asked = { program, procedure, tail: tail!, limits: { forgetFrom } };
  const slips = slipsOnTail(asked, slipsOf(procedure, system)).map(({ slip, verdict, caughtAt, breaks }) =>
    JSON.stringify([slip, verdict, caughtAt, breaks?.kind, breaks?.what]),
  );
  return [...answers, ...faults, ...slips];
}

/** Of ways equally long either can be told, and so the one or the other step named. */
function proved(program: Program, forgetFrom: number): readonly string[] {
  const { findings, proofs } = proveProgram(program, { forgetFrom });
  const told = findings.map(({ code, subject, moments, tails }) =>
    JSON.stringify([code, subject.procedure, subject.rule, subject.thing, moments, tails]),
  );
  return [...told, ...proofs.map(({ rules }) => JSON.stringify(rules))].sort();
}
