import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import type { Step } from "../../src/program/procedure.js";
import { contextOf } from "../../src/prove/context.js";
import { faultsOnTail } from "../../src/prove/coverage/reveal.js";
import { TooLarge } from "../oracle/explore.js";
import { interpret } from "../oracle/interpreter.js";
import { everyStep } from "../oracle/text.js";
import { revealedBy, usualWithoutFault } from "../support/fault-walk.js";
import type { Micro } from "../support/micro.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** How many worlds, and from which seed on: by hand more than in the suite. */
const WANTED = Number(process.env.FAULT_WORLDS ?? 10);
const FIRST = Number(process.env.FAULT_SEED ?? 1);
const LIMIT = 4000;

/** Every verdict of a fault, against a walk through the procedure on equipment that has the fault. */
test("faults come out as a walk with the fault has it", { timeout: 6_000_000 }, () => {
  const failures: string[] = [];
  const seen = new Map<string, number>();
  let worlds = 0;
  for (let seed = FIRST; worlds < WANTED; seed++) {
    const compared = comparison(worldFrom(randomWorld(seed)), seen);
    if (compared === "passed over") continue;
    worlds += 1;
    failures.push(...compared.map((line) => `seed ${seed}: ${line}`));
    if (process.env.FAULT_WORLDS) for (const line of compared) console.log(`seed ${seed}: ${line}`);
  }
  if (process.env.FAULT_WORLDS) console.log(worlds, "worlds", [...seen], failures.length, "mismatches");
  expect(failures.slice(0, 20)).toEqual([]);
  expect(seen.get("always") ?? 0).toBeGreaterThan(0);
});

function comparison({ program, procedure, system }: Micro, seen: Map<string, number>): string[] | "passed over" {
  if (system.tails.length > 1 || ![...everyStep(procedure.steps)].every(isPlain)) return "passed over";
  const looks = ["observe", "check", "wait-for", "repeat"];
  if (![...everyStep(procedure.steps)].some(({ kind }) => looks.includes(kind))) return "passed over";
  try {
    const sound = interpret(program, procedure, { limit: LIMIT });
    const all = [sound, ...performedBy(program, procedure).map((inner) => interpret(program, inner, { limit: LIMIT }))];
    if (all.some(({ findings }) => findings.some(({ severity }) => severity === "error"))) return "passed over";
    if (sound.tails.length === 0) return "passed over";
    const model = buildModel(program, system, procedure, system.tails[0]!);
    const usual = usualWithoutFault(program, procedure, system.tails[0]!, LIMIT);
    return faultsOnTail(contextOf(program, procedure, model, {}), system.tails[0]!).flatMap(({ fault, revealed }) => {
      if (fault.kind === "condition") return [];
      const walked = revealedBy(program, procedure, system.tails[0]!, fault, usual, LIMIT);
      seen.set(revealed, (seen.get(revealed) ?? 0) + 1);
      const alike = walked === revealed || (revealed === "apart" && walked !== "always" && walked !== "sometimes");
      return alike ? [] : [`${fault.id}: prover ${revealed}, walk ${walked}`];
    });
  } catch (error) {
    if (error instanceof TooLarge) return "passed over";
    throw error;
  }
}

/** A procedure that is performed answers for itself: what is wrong with it without a fault is told of it alone. */
function performedBy(program: Micro["program"], procedure: Micro["procedure"]): Micro["procedure"][] {
  return [...everyStep(procedure.steps)].flatMap((step) => {
    const inner = step.kind === "perform" ? program.procedures.get(step.target.id) : undefined;
    return inner ? [inner] : [];
  });
}

/** Waits with a limit: not here. */
function isPlain(step: Step): boolean {
  return !(step.kind === "wait-for" && step.within !== undefined);
}
