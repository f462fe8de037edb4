import { expect, test } from "vitest";
import { buildModel } from "../../src/machine/model.js";
import { contextOf } from "../../src/prove/context.js";
import { faultsOnTail } from "../../src/prove/coverage/reveal.js";
import { TooLarge } from "../oracle/explore.js";
import { everyStep } from "../oracle/text.js";
import { revealedBy, usualWithoutFault } from "../support/fault-walk.js";
import type { Micro } from "../support/micro.js";
import { randomWorld, worldFrom } from "../support/random-world.js";
import { soundReport } from "../support/sound.js";

/** How many worlds, and from which seed on: by hand more than in the suite. */
const WANTED = Number(process.env.FAULT_WORLDS ?? 10);
const FIRST = Number(process.env.FAULT_SEED ?? 1);
const LIMIT = 1500;

/** Every verdict of a fault, and the step that shows it, against a walk through the procedure on equipment that has the fault. */
test("faults come out as a walk with the fault has it", { timeout: 6_000_000 }, () => {
  const failures: string[] = [];
  const counts = new Map<string, number>();
  const count = (what: string) => counts.set(what, (counts.get(what) ?? 0) + 1);
  let seed = FIRST;
  for (; (counts.get("worlds") ?? 0) < WANTED; seed++) {
    const compared = comparison(worldFrom(randomWorld(seed)), count);
    if (typeof compared === "string") {
      count(`passed over: ${compared}`);
      continue;
    }
    count("worlds");
    failures.push(...compared.map((line) => `seed ${seed}: ${line}`));
    if (process.env.FAULT_WORLDS) for (const line of compared) console.log(`seed ${seed}: ${line}`);
  }
  if (process.env.FAULT_WORLDS)
    console.log(`seeds ${FIRST} to ${seed - 1}: ${[...counts]}, ${failures.length} mismatches`);
  expect(failures.slice(0, 20)).toEqual([]);
  expect(counts.get("unproved")).toBeUndefined();
  for (const revealed of ["always", "never"]) expect(counts.get(revealed) ?? 0).toBeGreaterThan(0);
});

function comparison({ program, procedure, system }: Micro, count: (what: string) => void): string[] | string {
  const looks = ["observe", "check", "wait-for", "repeat"];
  if (![...everyStep(procedure.steps)].some(({ kind }) => looks.includes(kind))) return "nothing that can show";
  try {
    const sound = soundReport(program, procedure, LIMIT);
    if (typeof sound === "string") return sound;
    const tails = system.tails.filter(({ name }) => sound.tails.includes(name));
    return tails.flatMap((tail) => {
      const usual = usualWithoutFault(program, procedure, tail, LIMIT);
      const model = buildModel(program, system, procedure, tail);
      return faultsOnTail(contextOf(program, procedure, model, {}), tail).flatMap(({ fault, revealed, first }) => {
        count(revealed);
        if (revealed === "unproved") return [];
        const walked = revealedBy(program, procedure, tail, fault, usual, LIMIT);
        const alike = walked.revealed === (revealed === "apart" ? "never" : revealed) && walked.first === first;
        if (alike) return [];
        return [
          `${fault.id} on ${tail.name}: prover ${revealed} ${first ?? ""}, walk ${walked.revealed} ${walked.first ?? ""}`,
        ];
      });
    });
  } catch (error) {
    if (error instanceof TooLarge) return "too large for the walk";
    throw error;
  }
}
