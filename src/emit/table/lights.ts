import { invariant } from "../../invariant.js";
import type { Condition } from "../../program/condition.js";
import type { Procedure, Step } from "../../program/procedure.js";
import type { Program } from "../../program/program.js";
import type { Colour, Light, System } from "../../program/system.js";
import { casesOf } from "../card/cases.js";
import type { Lamp } from "../card/content.js";
import { lampOf } from "../card/lamps.js";
import { nameOf } from "../card/names.js";
import { everyStep } from "../card/walk.js";
import { capitalised, type Words } from "../card/wording.js";

export type LightState = "lit" | "out" | "unseen";

/** One look at lights in one case: what each of the rows must be. */
export interface LightColumn {
  readonly number: string;
  /** What is looked at. */
  readonly title: string;
  /** Empty where the step tells no cases apart. */
  readonly case: string;
  readonly states: readonly LightState[];
  /** Lit lights by colour; sounds do not count. */
  readonly counts: readonly { readonly colour: Colour; readonly number: number }[];
}

export interface LightTable {
  readonly rows: readonly Lamp[];
  readonly columns: readonly LightColumn[];
}

/**
 * Every light that the procedure looks at against every look at lights: lit, out or not looked at. Warnings first, then
 * cautions, then advisories (based on MIL-STD-411F 5.2.5), each as declared. What a performed procedure looks at is in its own table.
 */
export function lightTable(program: Program, procedure: Procedure): LightTable {
  const system = program.systems.get(procedure.system);
  invariant(system, `procedure ${procedure.id} has no system`);
  const steps = ownSteps(procedure);
  const numbers = new Map(steps.map((step) => [step.name, step.number]));
  const words: Words = { system, numberOf: (step) => numbers.get(step) };
  const looks = steps.flatMap((step) => looksOf(words, step));
  const seen = new Set(looks.flatMap((look) => [...look.states.keys()]));
  const lights = [...system.lights.values()].filter((light) => seen.has(light.id)).sort((a, b) => rank(a) - rank(b));
  return {
    rows: lights.map((light) => lampOf(system, light.id)),
    columns: looks.map((look) => column(look, lights)),
  };
}

function ownSteps(procedure: Procedure): readonly Step[] {
  const all = everyStep(procedure.steps);
  const others = all.flatMap((step) =>
    step.kind === "perform" && step.target.kind === "procedure" ? everyStep(step.steps) : [],
  );
  const foreign = new Set(others);
  return all.filter((step) => !foreign.has(step));
}

interface Look {
  readonly number: string;
  readonly title: string;
  readonly case: string;
  readonly states: ReadonlyMap<string, LightState>;
}

function looksOf(words: Words, step: Step): readonly Look[] {
  if (step.kind === "check") return checkLook(words.system, step.number, step.condition);
  if (step.kind !== "observe") return [];
  const { system } = words;
  const set = step.set === undefined ? undefined : (system.lightSets.get(step.set)?.label ?? step.set);
  const few = step.lights.length <= 2 ? step.lights.map((light) => nameOf(system, light)).join(", ") : undefined;
  const title = capitalised(set ?? few ?? `${step.lights.length} lights`);
  return casesOf(words, step.lit).map((one): Look => {
    const lit = new Set(
      step.lit.filter((expected) => !expected.when || one.takes(expected)).map((expected) => expected.light),
    );
    const states = new Map(step.lights.map((light): [string, LightState] => [light, lit.has(light) ? "lit" : "out"]));
    return { number: step.number, title, case: one.heading, states };
  });
}

/** A check of nothing but lights is a look at them. */
function checkLook(system: System, number: string, condition: Condition): readonly Look[] {
  const atoms = condition.kind === "and" ? condition.of : [condition];
  const states = new Map<string, LightState>();
  for (const atom of atoms) {
    if (atom.kind !== "light" || atom.state === "flashing") return [];
    states.set(atom.light, (atom.state === "lit") !== atom.negated ? "lit" : "out");
  }
  const known = [...states.keys()].every((light) => system.lights.has(light));
  return known ? [{ number, title: "Check", case: "", states }] : [];
}

function column(look: Look, lights: readonly Light[]): LightColumn {
  const states = lights.map((light): LightState => look.states.get(light.id) ?? "unseen");
  const lit = lights.filter((light, index) => states[index] === "lit" && !light.sound);
  const counts = COLOURS.map((colour) => ({ colour, number: lit.filter((light) => light.colour === colour).length }));
  return {
    number: look.number,
    title: look.title,
    case: look.case,
    states,
    counts: counts.filter(({ number }) => number > 0),
  };
}

const COLOURS: readonly Colour[] = ["red", "amber", "green", "blue", "white", "cyan"];
const RANKS = { warning: 0, caution: 1, advisory: 2 } as const;

function rank(light: Light): number {
  return light.alert ? RANKS[light.alert] : 3;
}
