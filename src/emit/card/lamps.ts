import type { Step } from "../../program/procedure.js";
import type { Colour, System } from "../../program/system.js";
import type { Count, Lamp, LightCase, Line } from "./content.js";
import { onlyOn } from "./fleet.js";
import { nameOf } from "./names.js";
import { sentenceOf, type Words } from "./wording.js";

type Observe = Step & { readonly kind: "observe" };

/** In the order in which lights are listed on a card: warnings first (MIL-STD-411F 5.2.5). */
const COLOURS: readonly Colour[] = ["red", "amber", "green", "blue", "white", "cyan"];

/** The lines of an observation: a drawn block of what must be lit, or plain lines where one or two lights are looked at. */
export function observeLines(words: Words, step: Observe): readonly Line[] {
  const { system } = words;
  const title = setTitle(system, step);
  if (step.lit.length === 0) {
    if (step.set) return [{ kind: "pair", challenge: `${title} lights`, response: "ALL OUT", joined: false }];
    return step.lights.map((light) => ({
      kind: "pair",
      challenge: nameOf(system, light),
      response: system.lights.get(light)?.sound ? "SILENT" : "OUT",
      joined: false,
    }));
  }
  return [{ kind: "lights", title, cases: casesOf(words, step), rest: restOf(step) }];
}

export function lampOf(system: System, id: string): Lamp {
  const light = system.lights.get(id);
  const only = light && onlyOn(system, [light.fitted]);
  return {
    label: nameOf(system, id),
    sound: light?.sound ?? false,
    ...(light?.colour ? { colour: light.colour } : {}),
    ...(only ? { only } : {}),
  };
}

function setTitle(system: System, step: Observe): string {
  return (step.set && system.lightSets.get(step.set)?.label) || "Lights";
}

function restOf(step: Observe): string {
  const listed = new Set(step.lit.map((expected) => expected.light));
  const others = step.lights.filter((light) => !listed.has(light)).length;
  return others === 0 ? "" : others === 1 ? "The other light is out." : `The other ${others} lights are out.`;
}

/** One case for all, or one column for each condition that a light is listed under, with what is lit always in a column of its own. */
function casesOf(words: Words, step: Observe): readonly LightCase[] {
  const always = step.lit.filter((expected) => !expected.when).map((expected) => expected.light);
  const byCase = new Map<string, string[]>();
  for (const expected of step.lit) {
    if (!expected.when) continue;
    const when = sentenceOf(words, expected.when);
    byCase.set(when, [...(byCase.get(when) ?? []), expected.light]);
  }
  if (byCase.size === 0) return [oneCase(words.system, always, undefined, stated(step))];
  const others = [...byCase].map(([when, lights]) => oneCase(words.system, lights, when, undefined));
  return always.length > 0 ? [oneCase(words.system, always, undefined, undefined), ...others] : others;
}

function oneCase(
  system: System,
  lights: readonly string[],
  when: string | undefined,
  counts: readonly Count[] | undefined,
): LightCase {
  const lamps = lights.map((light) => lampOf(system, light));
  return { ...(when === undefined ? {} : { when }), lamps, counts: counts ?? countsOf(lamps) };
}

function stated(step: Observe): readonly Count[] | undefined {
  if (step.count.size === 0) return undefined;
  return COLOURS.filter((colour) => step.count.has(colour)).map((colour) => ({
    colour,
    number: step.count.get(colour) ?? 0,
  }));
}

function countsOf(lamps: readonly Lamp[]): readonly Count[] {
  return COLOURS.map((colour) => ({
    colour,
    number: lamps.filter((lamp) => lamp.colour === colour && !lamp.sound).length,
  })).filter((count) => count.number > 0);
}
