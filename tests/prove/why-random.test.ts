import { expect, test } from "vitest";
import type { Procedure } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import { withoutSteps } from "../../src/program/rebuild.js";
import { type StepWhy, whyOfSteps } from "../../src/prove/why.js";
import { TooLarge } from "../oracle/explore.js";
import { interpret } from "../oracle/interpreter.js";
import type { Micro } from "../support/micro.js";
import { randomWorld, worldFrom } from "../support/random-world.js";

/** More, or other, worlds: `WHY_WORLDS=2000 WHY_SEED=70000 npx vitest run tests/prove/why-random.test.ts`. */
const WORLDS = Number(process.env.WHY_WORLDS ?? 25);
const FIRST = Number(process.env.WHY_SEED ?? 1);
const STATES = 800;

test(`which rules rely on a step is as the independent interpreter finds it without the step, in ${WORLDS} random worlds`, {
  timeout: 3_600_000,
}, () => {
  let [compared, reliances] = [0, 0];
  for (let seed = FIRST; compared < WORLDS; seed++) {
    const world = worldAt(seed);
    const expected = world && reliedOn(world);
    if (!expected) continue;
    const [quick, told] = [true, false].map((verdictsOnly) =>
      whyOfSteps(world.program, world.procedure, { verdictsOnly }),
    );
    expect(rulesOf(quick!), `seed ${seed}`).toEqual(expected);
    expect(breachesOf(quick!), `seed ${seed}`).toEqual(breachesOf(told!));
    reliances += Object.values(expected).flat().length;
    compared++;
  }
  expect(reliances).toBeGreaterThan(WORLDS / 10);
});

function worldAt(seed: number): Micro | undefined {
  try {
    return worldFrom(randomWorld(seed));
  } catch {
    return undefined;
  }
}

/** By step the rules that the interpreter finds broken without it on tails on which they are not broken with it; undefined where it is too much. */
function reliedOn({ program, procedure }: Micro): Record<string, string[]> | undefined {
  try {
    const before = brokenIn(program, procedure);
    return Object.fromEntries(
      whyOfSteps(program, procedure, { verdictsOnly: true }).map(({ step }) => {
        const steps = withoutSteps(procedure.steps, (other) => other === step);
        const after = brokenIn(program, { ...procedure, steps });
        return [
          step.name,
          [...after]
            .filter((one) => !before.has(one))
            .map(ruleOf)
            .filter(isFirst)
            .sort(),
        ];
      }),
    );
  } catch (error) {
    if (error instanceof TooLarge) return undefined;
    throw error;
  }
}

/**
 * Rule and tail of what an act or a change breaks; what a gauge breaks by its own move is told as information. What procedures that are
 * performed report by themselves is repeated here, so the interpreter is not shown them.
 */
function brokenIn(program: Program, procedure: Procedure): ReadonlySet<string> {
  const alone = { ...program, procedures: new Map([[procedure.id, procedure]]) };
  const { findings } = interpret(alone, procedure, { limit: STATES, rulesOnly: true });
  const broken = findings.filter(
    ({ code, severity }) => code.startsWith("order/") && code !== "order/already-so" && severity !== "info",
  );
  return new Set(broken.flatMap(({ rule, tails }) => tails.map((tail) => `${rule} on ${tail}`)));
}

function ruleOf(text: string): string {
  return text.slice(0, text.indexOf(" on "));
}

function isFirst(one: string, index: number, all: readonly string[]): boolean {
  return all.indexOf(one) === index;
}

function rulesOf(whys: readonly StepWhy[]): Record<string, string[]> {
  return Object.fromEntries(
    whys.map(({ step, breaches }) => [
      step.name,
      breaches
        .flatMap(({ on }) => (on.kind === "rule" ? [on.rule] : []))
        .filter(isFirst)
        .sort(),
    ]),
  );
}

function breachesOf(whys: readonly StepWhy[]): readonly string[] {
  return whys.flatMap(({ step, breaches, unproved }) => [
    `${step.name} ${unproved}`,
    ...breaches.map(({ on, finding }) => `${step.name}: ${finding.code} ${JSON.stringify(on)}`).sort(),
  ]);
}
