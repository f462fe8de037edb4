import { type Finding, type FindingKind, finding } from "../../diagnostics/finding.js";
import type { Condition } from "../../program/condition.js";
import type { Light, NamedCondition, System } from "../../program/system.js";
import { example } from "../example.js";

export const CONDITION_CYCLE: FindingKind = {
  code: "condition/cycle",
  severity: "error",
  summary: "Conditions or lights are explained by each other in a ring.",
  why: "A condition that is so when it is so says nothing; what holds itself is equipment with two states.",
  bad: example({ system: "conditions:\n  power: load or pump is on\n  load: power" }),
  good: example({ system: "conditions:\n  power: pump is on\n  load: power" }),
};

/** The system with every ring of conditions and lights reported once, and cut at the place that closes it. */
export function cutCycles(system: System, report: (finding: Finding) => void): System {
  const search = new RingSearch(system, report);
  for (const id of [...system.conditions.keys(), ...system.lights.keys()]) search.visit(id);
  if (search.cut.size === 0) return system;
  const conditions = new Map(
    [...system.conditions].map(([id, each]) => [id, search.cut.has(id) ? emptied(each) : each]),
  );
  const lights = new Map([...system.lights].map(([id, light]) => [id, search.cut.has(id) ? dark(light) : light]));
  return { ...system, conditions, lights };
}

/** Walks the conditions with a list of its own, because a chain of them may be longer than a call stack is deep. */
class RingSearch {
  readonly cut = new Set<string>();
  readonly #done = new Set<string>();

  constructor(
    private readonly system: System,
    private readonly report: (finding: Finding) => void,
  ) {}

  visit(first: string): void {
    if (this.#done.has(first)) return;
    const open = [{ id: first, uses: this.#uses(first) }];
    const onPath = new Set([first]);
    for (let top = open.at(-1); top; top = open.at(-1)) {
      const next = top.uses.shift();
      if (next === undefined) {
        this.#done.add(top.id);
        onPath.delete(top.id);
        open.pop();
      } else if (onPath.has(next)) {
        const ids = open.map(({ id }) => id);
        this.#close(ids.slice(ids.indexOf(next)));
      } else if (!this.#done.has(next)) {
        open.push({ id: next, uses: this.#uses(next) });
        onPath.add(next);
      }
    }
  }

  #close(ring: readonly string[]): void {
    const last = ring.at(-1) ?? "";
    const thing = this.system.conditions.get(last) ?? this.system.lights.get(last);
    if (!thing || this.cut.has(last)) return;
    this.cut.add(last);
    const path = [...ring, ring[0]].map((id) => `\`${id}\``).join(" -> ");
    const message = ring.length === 1 ? `\`${last}\` is explained by itself` : `a ring of conditions: ${path}`;
    const help = ["say one of them by controls and equipment alone; what holds itself is `equipment` with two states"];
    this.report(finding(CONDITION_CYCLE, thing.span, message, { help, subject: { thing: last } }));
  }

  #uses(id: string): string[] {
    const condition = this.system.conditions.get(id);
    if (condition) return usesOf(condition.means);
    const light = this.system.lights.get(id);
    return [light?.litWhen, light?.flashingWhen].flatMap((each) => (each ? usesOf(each) : []));
  }
}

/** The conditions and lights that a condition of the system names. */
function usesOf(condition: Condition): string[] {
  switch (condition.kind) {
    case "and":
    case "or":
      return condition.of.flatMap(usesOf);
    case "not":
    case "for":
    case "checked":
      return usesOf(condition.of);
    case "named":
      return [condition.condition];
    case "light":
      return [condition.light];
    default:
      return [];
  }
}

function emptied(condition: NamedCondition): NamedCondition {
  return { ...condition, means: { kind: "constant", value: false, span: condition.means.span } };
}

function dark(light: Light): Light {
  const { litWhen: _, flashingWhen: __, ...rest } = light;
  return rest;
}
