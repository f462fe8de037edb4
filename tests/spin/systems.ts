import { walkSteps } from "../../src/program/walk.js";
import { proveProgram } from "../../src/prove/prove.js";
import type { Micro } from "../support/micro.js";
import { type Part, partOf, STUCK } from "../support/promela/model.js";
import { Unsupported } from "../support/promela/words.js";
import { randomWorld, type WorldSpec, worldFrom } from "../support/random-world.js";
import { runSpin } from "../support/spin.js";

/** A random system that Promela can say, and its world. */
export interface System {
  readonly seed: number;
  readonly spec: WorldSpec;
  readonly world: Micro;
}

/** The first `wanted` systems from the seed on; what the translation leaves out is passed over. */
export function systemsFrom(seed: number, wanted: number, isWanted: (world: Micro) => boolean = () => true): System[] {
  const found: System[] = [];
  for (let next = seed; found.length < wanted; next++) {
    const spec = sayable(randomWorld(next));
    const world = worldOf(spec);
    if (world && isWanted(world) && partFor(0, world)) found.push({ seed: next, spec, world });
  }
  return found;
}

/** Two at once, of whom one holds something: what the other may have to wait for. */
export function holdsInLanes({ procedure }: Micro): boolean {
  return [...walkSteps(procedure.steps)].some(
    (step) =>
      step.kind === "together" && [...walkSteps([step])].some(({ kind }) => kind === "hold" || kind === "press"),
  );
}

/** Without the rules about marks and times: those are not translated. */
function sayable(spec: WorldSpec): WorldSpec {
  return { ...spec, lines: spec.lines.filter((line) => !/^rule .*(\) for |done )/.test(line)) };
}

/** Undefined where a cut has taken away what something else names. */
export function worldOf(spec: WorldSpec): Micro | undefined {
  try {
    return worldFrom(spec);
  } catch {
    return undefined;
  }
}

export function partFor(number: number, { program, procedure }: Micro): Part | undefined {
  try {
    return partOf(number, program, procedure);
  } catch (error) {
    if (error instanceof Unsupported) return undefined;
    throw error;
  }
}

/** What the prover answers to the questions that are put to SPIN. */
export function provedOf({ program, procedure }: Micro): ReadonlySet<string> {
  const { findings, proofs } = proveProgram(program);
  const rules = proofs.find((proof) => proof.procedure === procedure.id)?.rules ?? [];
  const own = findings.filter(({ subject }) => subject.procedure === procedure.id);
  return new Set([
    ...rules.filter(({ verdict }) => verdict !== "holds").map(({ rule }) => `rule ${rule}`),
    ...own.filter(({ code }) => code === "flow/promise").map(() => "promise"),
    ...own
      .filter(({ code }) => /^observe\/(missing|surplus)$/.test(code))
      .map(({ code, subject }) => `${code} ${subject.thing} @${subject.step}`),
    ...own
      .filter(({ code }) => code === "lanes/held")
      .map(({ code, subject }) => `${code} ${subject.thing} @${subject.step}`),
    ...own.filter(({ code }) => code === STUCK).map(() => STUCK),
    ...own
      .filter(({ code }) => code === "guard/closed" || code === "flow/gap")
      .map(({ code, subject }) => `${code} @${subject.step}`),
  ]);
}

/** One line for each question that the two answer differently; `answered` counts the answers. */
export function differencesOf(systems: readonly System[]): {
  readonly failures: Map<System, string[]>;
  readonly yes: number;
  readonly no: number;
} {
  const parts = systems.map(({ world }, index) => partFor(index, world)!);
  const { hits } = runSpin(parts);
  const failures = new Map<System, string[]>();
  let [yes, no] = [0, 0];
  systems.forEach((system, index) => {
    const proved = provedOf(system.world);
    for (const question of new Set([...parts[index]!.questions, ...proved])) {
      const found = hits[index]!.has(question);
      if (found) yes++;
      else no++;
      if (found === proved.has(question) || (!found && question === STUCK && mayGoRound(system.world))) continue;
      const line = `${question}: SPIN ${found ? "finds it" : "finds none"}, the prover ${found ? "finds none" : "finds it"}`;
      failures.set(system, [...(failures.get(system) ?? []), line]);
    }
  });
  return { failures, yes, no };
}

/** What waits for ever need not stand still where something else may go round and round. */
function mayGoRound({ procedure, system }: Micro): boolean {
  const loops = [...walkSteps(procedure.steps)].some((step) => step.kind === "repeat" && step.until);
  return loops || [...system.equipment.values()].some(({ changes }) => changes.some(({ takes }) => takes));
}
