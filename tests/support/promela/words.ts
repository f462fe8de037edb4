import type { Condition } from "../../../src/program/condition.js";
import type { System } from "../../../src/program/system.js";

/** What the translation leaves out; the system is passed over. */
export class Unsupported extends Error {
  override readonly name = "Unsupported";
}

/** Where a thing stands in Promela: the global `v[index]` holds the place of its value in `values`. */
export interface Cell {
  readonly index: number;
  readonly values: readonly string[];
}

/**
 * Numbers of the things that some `checked` asks for: each has a bit `k[number]` (known), a bit `l[number]` (learned by the act that
 * the server is about to judge), and its value at the moment before, `pv[number]`.
 */
export type Known = ReadonlyMap<string, number>;

export interface Cells {
  readonly system: System;
  readonly of: ReadonlyMap<string, Cell>;
  readonly known: Known;
}

/** A cell for each control (guards among them), each piece of equipment and each thing outside, in declared order. */
export function cellsOf(system: System, known: Known): Cells {
  if (system.gauges.size > 0) throw new Unsupported("gauges");
  if (system.tails.length > 1) throw new Unsupported("a fleet");
  const things: [string, readonly string[]][] = [
    ...[...system.controls.values()].map(({ id, positions }): [string, string[]] => [id, positions.map((at) => at.id)]),
    ...[...system.equipment.values()].map(({ id, states }): [string, readonly string[]] => [id, states]),
    ...[...system.outside.values()].map(({ id, states }): [string, readonly string[]] => [id, states]),
  ];
  return {
    system,
    known,
    of: new Map(things.map(([id, values], index) => [id, { index, values }])),
  };
}

export function cell(cells: Cells, thing: string): Cell {
  const found = cells.of.get(thing);
  if (!found) throw new Unsupported(`the thing \`${thing}\``);
  return found;
}

/** `v[2]==1`: the thing stands at the value. */
export function stands(cells: Cells, thing: string, value: string): string {
  const { index, values } = cell(cells, thing);
  return `v[${index}]==${values.indexOf(value)}`;
}

/** `v[2]=1`. */
export function move(cells: Cells, thing: string, value: string): string {
  const { index, values } = cell(cells, thing);
  return `v[${index}]=${values.indexOf(value)}`;
}

/** The condition as an expression of Promela over the cells; lights and named conditions are their meaning. */
export function inWords(cells: Cells, condition: Condition): string {
  switch (condition.kind) {
    case "constant":
      return condition.value ? "1" : "0";
    case "and":
    case "or": {
      const parts = condition.of.map((part) => inWords(cells, part));
      if (parts.length === 0) return condition.kind === "and" ? "1" : "0";
      return `(${parts.join(condition.kind === "and" ? " && " : " || ")})`;
    }
    case "not":
      return `!(${inWords(cells, condition.of)})`;
    case "is": {
      if (condition.of === "fit") throw new Unsupported("a fit");
      const one = condition.values.map((value) => `(${stands(cells, condition.thing, value)})`).join(" || ");
      return `${condition.negated ? "!" : ""}(${one})`;
    }
    case "light": {
      if (condition.state === "flashing") throw new Unsupported("a flashing light");
      const lit = isLit(cells, condition.light);
      if (lit === undefined) throw new Unsupported("a condition on a light without logic");
      return (condition.state === "lit") === condition.negated ? `!${lit}` : lit;
    }
    case "named":
      return `(${inWords(cells, cells.system.conditions.get(condition.condition)!.means)})`;
    case "fitted":
      return "1";
    case "checked":
      return surely(cells, condition.of, true);
    default:
      throw new Unsupported(`\`${condition.kind}\``);
  }
}

/** `checked`: where the known things alone make the condition true (or false), the others unknown in three-valued logic. */
function surely(cells: Cells, condition: Condition, wanted: boolean): string {
  const itself = (thing: string) => {
    const words = inWords(cells, condition);
    return `(${bitOf(cells, thing)} && ${wanted ? words : `!(${words})`})`;
  };
  switch (condition.kind) {
    case "constant":
      return condition.value === wanted ? "1" : "0";
    case "fitted":
      return wanted ? "1" : "0";
    case "not":
      return surely(cells, condition.of, !wanted);
    case "and":
    case "or": {
      const parts = condition.of.map((part) => surely(cells, part, wanted));
      const isAll = (condition.kind === "and") === wanted;
      return `(${parts.join(isAll ? " && " : " || ") || (isAll ? "1" : "0")})`;
    }
    case "is":
      if (condition.of === "fit") throw new Unsupported("a fit");
      return itself(`is ${condition.thing}`);
    case "light":
      return itself(`light ${condition.light}`);
    case "named": {
      const known = bitOf(cells, `condition ${condition.condition}`);
      const means = cells.system.conditions.get(condition.condition)!.means;
      return `(${itself(`condition ${condition.condition}`)} || (!${known} && ${surely(cells, means, wanted)}))`;
    }
    default:
      throw new Unsupported(`\`${condition.kind}\` in \`checked\``);
  }
}

function bitOf({ known }: Cells, thing: string): string {
  const number = known.get(thing);
  if (number === undefined) throw new Unsupported("`checked` outside the rules");
  return `k[${number}]`;
}

/** When the light is lit, in brackets; undefined for one without logic. */
export function isLit(cells: Cells, id: string): string | undefined {
  const { litWhen, flashingWhen, latchedUntil, cancelledBy } = cells.system.lights.get(id)!;
  if (flashingWhen || latchedUntil || cancelledBy) throw new Unsupported("a light that flashes or remembers");
  return litWhen && `(${inWords(cells, litWhen)})`;
}

/** Every leaf is a light: such a check is an observation. */
export function isOfLightsAlone(condition: Condition): boolean {
  if (condition.kind === "and" || condition.kind === "or")
    return condition.of.length > 0 && condition.of.every(isOfLightsAlone);
  return condition.kind === "not" ? isOfLightsAlone(condition.of) : condition.kind === "light";
}
