import type { Condition, Term } from "../../src/program/condition.js";

/** A condition in one line, unambiguous, for expectations. */
export function say(condition: Condition | undefined): string {
  if (!condition) return "nothing";
  switch (condition.kind) {
    case "constant":
      return String(condition.value);
    case "and":
    case "or":
      return `(${condition.of.map(say).join(` ${condition.kind} `)})`;
    case "not":
      return `not ${say(condition.of)}`;
    case "is":
      return `${condition.of} ${condition.thing} ${condition.negated ? "is not" : "is"} ${condition.values.join("/")}`;
    case "fitted":
      return `fitted ${condition.thing}`;
    case "light":
      return `light ${condition.light} ${condition.negated ? "is not" : "is"} ${condition.state}`;
    case "named":
      return `[${condition.condition}]`;
    case "compare":
      return `${term(condition.left)} ${condition.operator} ${term(condition.right)}`;
    case "near":
      return `${condition.left} within ${condition.distance.text} of ${condition.right}`;
    case "band": {
      const range = `${condition.low?.text ?? ""}..${condition.high?.text ?? ""}`;
      return `${condition.gauge} ${condition.negated ? "is not" : "is"} ${condition.band} ${range}`;
    }
    case "for":
      return `(${say(condition.of)}) for ${condition.milliseconds} ms`;
    case "checked":
      return `checked (${say(condition.of)})`;
    case "done":
      return `done ${condition.step}`;
    case "recorded":
      return `recorded ${condition.gauge}`;
  }
}

function term(side: Term): string {
  return side.kind === "gauge" ? side.gauge : side.value.text;
}
