import type { Condition } from "../../../src/program/condition.js";
import type { Rule } from "../../../src/program/rule.js";
import type { System } from "../../../src/program/system.js";
import { conditionsOfRule, walkCondition } from "../../../src/program/walk.js";
import { type Cells, inWords, isLit, type Known, Unsupported } from "./words.js";

/** Numbers for the things that `checked` needs: what it names, and what the named conditions in it are made of. */
export function knownOf(system: System, rules: readonly Rule[]): Known {
  const things = new Set<string>();
  const add = (condition: Condition): void => {
    for (const thing of thingsIn(condition)) things.add(thing);
    for (const part of walkCondition(condition))
      if (part.kind === "named") add(system.conditions.get(part.condition)!.means);
  };
  for (const condition of rules.flatMap(conditionsOfRule))
    for (const part of walkCondition(condition)) if (part.kind === "checked") add(part.of);
  return new Map([...things].map((thing, index) => [thing, index]));
}

/** What a look at the condition looks at; a named condition is itself the thing. */
export function thingsIn(condition: Condition): string[] {
  return [...walkCondition(condition)].flatMap((part) => {
    if (part.kind === "is" && part.of !== "fit") return [`is ${part.thing}`];
    if (part.kind === "light") return [`light ${part.light}`];
    return part.kind === "named" ? [`condition ${part.condition}`] : [];
  });
}

/** Statements that note what an act makes known, each with a semicolon before it; empty where nobody asks. */
export function learn({ known }: Cells, things: readonly string[]): string {
  return [...new Set(things)]
    .flatMap((thing) => {
      const number = known.get(thing);
      return number === undefined ? [] : [`; l[${number}] = 1`];
    })
    .join("");
}

/** At the start nothing is known. */
export function knownAtStart(cells: Cells): string {
  return ["skip", ...[...cells.known].map(([thing, number]) => `pv[${number}] = ${standingOf(cells, thing)}`)].join(
    "; ",
  );
}

/** Known ends when the value changes without a step that makes it known. */
export function knownLater(cells: Cells): string {
  const each = [...cells.known].map(([thing, number]) => {
    const now = standingOf(cells, thing);
    const forget = `if :: (${now} != pv[${number}]) -> k[${number}] = 0 :: else -> skip fi`;
    return `if :: l[${number}] -> k[${number}] = 1; l[${number}] = 0 :: else -> ${forget} fi; pv[${number}] = ${now}`;
  });
  return ["skip", ...each].join("; ");
}

function standingOf(cells: Cells, thing: string): string {
  const [kind = "", id = ""] = thing.split(" ");
  if (kind === "is") return `v[${cells.of.get(id)!.index}]`;
  if (kind === "condition") return `(${inWords(cells, cells.system.conditions.get(id)!.means)})`;
  const lit = isLit(cells, id);
  if (lit === undefined) throw new Unsupported("a light without logic in `checked`");
  return lit;
}
