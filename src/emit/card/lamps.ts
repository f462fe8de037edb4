import type { Step } from "../../program/procedure.js";
import type { Colour, System } from "../../program/system.js";
import { casesOf } from "./cases.js";
import type { Count, Lamp, LampRow, Line } from "./content.js";
import { onlyOn } from "./fleet.js";
import { nameOf } from "./names.js";
import { capitalised, type Words } from "./wording.js";

type Observe = Step & { readonly kind: "observe" };

/** In the order in which lights are listed on a card: warnings first (MIL-STD-411F 5.2.5). */
const COLOURS: readonly Colour[] = ["red", "amber", "green", "blue", "white", "cyan"];

/** The lines of an observation: a drawn block of what must be lit, or plain lines where one or two lights are looked at. */
export function observeLines(words: Words, step: Observe): readonly Line[] {
  const { system } = words;
  const title = setTitle(system, step);
  if (step.lit.length === 0) {
    if (step.set) return [{ kind: "pair", challenge: lightsOf(title), response: "ALL OUT", joined: false }];
    return step.lights.map((light) => ({
      kind: "pair",
      challenge: nameOf(system, light),
      response: system.lights.get(light)?.sound ? "SILENT" : "OUT",
      joined: false,
    }));
  }
  return [lightBlock(words, step, title)];
}

function lightBlock(words: Words, step: Observe, title: string): Line {
  const cases = casesOf(words, step.lit);
  const lamps = [...new Set(step.lit.map((expected) => expected.light))].map((light): LampRow => {
    const listed = step.lit.filter((expected) => expected.light === light);
    return {
      lamp: lampOf(words.system, light, onlyOn(words.system, [step.applies])),
      lit: cases.map((one) => listed.some((expected) => one.takes(expected))),
    };
  });
  const stated = cases.length === 1 ? statedCounts(step) : undefined;
  const columns = cases.map(({ heading }, column) => ({ heading, counts: stated ?? countsOf(lamps, column) }));
  return { kind: "lights", title, cases: columns, lamps, rest: restOf(step) };
}

/** `given` is what is said already: for which ships the whole step is. */
export function lampOf(system: System, id: string, given?: string): Lamp {
  const light = system.lights.get(id);
  const only = light && onlyOn(system, [light.fitted]);
  return {
    label: nameOf(system, id),
    sound: light?.sound ?? false,
    ...(light?.colour ? { colour: light.colour } : {}),
    ...(only && only !== given ? { only } : {}),
  };
}

function setTitle(system: System, step: Observe): string {
  return capitalised((step.set && system.lightSets.get(step.set)?.label) || "Lights");
}

/** `Alarm panel lights`; `Changeover lamps` says it already. */
function lightsOf(title: string): string {
  return /(lights?|lamps?)$/i.test(title) ? title : `${title} lights`;
}

function restOf(step: Observe): string {
  const listed = new Set(step.lit.map((expected) => expected.light));
  const others = step.lights.filter((light) => !listed.has(light)).length;
  return others === 0 ? "" : others === 1 ? "The other light is out." : `The other ${others} lights are out.`;
}

function countsOf(rows: readonly LampRow[], column: number): readonly Count[] {
  const lit = rows.filter((row) => row.lit[column] && !row.lamp.sound).map((row) => row.lamp.colour);
  return COLOURS.map((colour) => ({ colour, number: lit.filter((one) => one === colour).length })).filter(
    (count) => count.number > 0,
  );
}

function statedCounts(step: Observe): readonly Count[] | undefined {
  if (step.count.size === 0) return undefined;
  const stated = COLOURS.filter((colour) => step.count.has(colour));
  return stated.map((colour) => ({ colour, number: step.count.get(colour) ?? 0 }));
}
