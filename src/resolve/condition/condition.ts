import { unreachable } from "../../invariant.js";
import type { Condition } from "../../program/condition.js";
import type { ConditionSyntax } from "../../syntax/condition/ast.js";
import { lookupOne } from "../names/lookup.js";
import { milliseconds } from "../quantity.js";
import { unreadable } from "../quantity-complaints.js";
import { allThere } from "../read.js";
import type { Scene } from "../scene.js";
import { compareOf, GAUGE, nearOf, notAGauge } from "./compare.js";
import { notHere } from "./complaints.js";
import { isOf, nameOf } from "./is.js";
import type { Purpose } from "./purpose.js";

/**
 * The condition with its names looked up, sides filled in, groups spelled out and quantities exact. Undefined where any part of it
 * has a fault, which was reported: never a weaker condition than the one written.
 */
export function resolveCondition(syntax: ConditionSyntax, scene: Scene, purpose: Purpose): Condition | undefined {
  const { span } = syntax;
  switch (syntax.kind) {
    case "and":
    case "or": {
      const of = syntax.of.map((each) => resolveCondition(each, scene, purpose));
      return allThere(of) ? { kind: syntax.kind, of, span } : undefined;
    }
    case "not": {
      const of = resolveCondition(syntax.of, scene, underNot(purpose));
      return of && { kind: "not", of, span };
    }
    case "is":
      return isOf(syntax, scene, purpose);
    case "name":
      return nameOf(syntax, scene, purpose);
    case "compare":
      return outsideFit(syntax, scene, purpose) ? compareOf(syntax, scene) : undefined;
    case "near":
      return outsideFit(syntax, scene, purpose) ? nearOf(syntax, scene) : undefined;
    case "for":
      return forOf(syntax, scene, purpose);
    case "checked":
      return checkedOf(syntax, scene, purpose);
    case "done":
      return doneOf(syntax, scene, purpose);
    case "recorded":
      return recordedOf(syntax, scene, purpose);
    default:
      return unreachable(syntax);
  }
}

type Of<K extends ConditionSyntax["kind"]> = Extract<ConditionSyntax, { kind: K }>;

function underNot(purpose: Purpose): Purpose {
  return purpose.lasting === "plain"
    ? { ...purpose, lasting: "nowhere", place: `a negated part of ${purpose.place}` }
    : purpose;
}

/** False, and reported, where only the fit may be named. */
function outsideFit({ span }: ConditionSyntax, scene: Scene, { fitOnly, place }: Purpose): boolean {
  if (!fitOnly) return true;
  scene.report(
    notHere(
      span,
      `${place} may name the fit only`,
      "write a condition on what `fit` lists, such as `heater is fitted`",
    ),
  );
  return false;
}

function forOf(syntax: Of<"for">, scene: Scene, purpose: Purpose): Condition | undefined {
  const { number, unit, span } = syntax.time;
  const time = milliseconds(number, unit);
  if (time === undefined) {
    scene.report(unreadable(`${number} ${unit}`.trim(), span, "a time", "write a time such as `60 s` or `3 min`"));
  }
  if (purpose.lasting === "nowhere") {
    scene.report(
      notHere(
        syntax.span,
        `\`for\` has no meaning in ${purpose.place}`,
        "ask for a time in the `require` of a rule, not negated, or in what a step looks at",
      ),
    );
    return undefined;
  }
  const of = resolveCondition(syntax.of, scene, { ...purpose, lasting: "nowhere", place: "what a `for` times" });
  return of && time !== undefined ? { kind: "for", of, milliseconds: time, span: syntax.span } : undefined;
}

function checkedOf(syntax: Of<"checked">, scene: Scene, purpose: Purpose): Condition | undefined {
  if (!remembers(syntax, "checked", scene, purpose)) return undefined;
  const inner: Purpose = { ...purpose, memory: false, lasting: "nowhere", bareLights: false, place: "`checked`" };
  const of = resolveCondition(syntax.of, scene, inner);
  return of && { kind: "checked", of, span: syntax.span };
}

function doneOf(syntax: Of<"done">, scene: Scene, purpose: Purpose): Condition | undefined {
  const found = remembers(syntax, "done", scene, purpose) ? scene.doneStep?.(syntax.step) : undefined;
  return found && { ...found, span: syntax.span };
}

function recordedOf(syntax: Of<"recorded">, scene: Scene, purpose: Purpose): Condition | undefined {
  if (!remembers(syntax, "recorded", scene, purpose)) return undefined;
  const { text, span } = syntax.gauge;
  const gauge = lookupOne(text, span, scene, GAUGE);
  if (!gauge) return undefined;
  if (gauge.family.kind === "gauge") return { kind: "recorded", gauge: gauge.id, span: syntax.span };
  scene.report(notAGauge(text, span, gauge.family.kind));
  return undefined;
}

function remembers({ span }: ConditionSyntax, word: string, scene: Scene, { memory, place }: Purpose): boolean {
  if (memory) return true;
  scene.report(notHere(span, `\`${word}\` has no meaning in ${place}`, "name what is so of the equipment itself"));
  return false;
}
