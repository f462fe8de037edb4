import { and, equals, evaluate, or } from "../../machine/expression.js";
import type { Broken } from "../../program/coverage.js";
import { ask, placeAfter } from "../answer.js";
import type { Context } from "../context.js";
import { proveRule } from "../rules.js";
import { storyOf } from "../story.js";
import { textOf } from "../words.js";
import { SLIPPED } from "./slips.js";
import { type Asking, owed } from "./suspects.js";

/** The first of what is asked about that is broken, with its story; undefined where all of it holds. */
export function confirmed(context: Context, asked: readonly Asking[]): Broken | "unproved" | undefined {
  let unproved = false;
  for (const asking of asked) {
    const broken = asking.kind === "rule" ? brokenRule(context, asking.rule) : brokenPlace(context, asking);
    if (broken === "unproved") unproved = true;
    else if (broken) return broken;
  }
  return unproved ? "unproved" : undefined;
}

function brokenRule(context: Context, rule: string): Broken | "unproved" | undefined {
  const lowered = context.model.rules.find((one) => one.rule.id === rule);
  if (!lowered) return undefined;
  const { verdict, findings } = proveRule(context, lowered);
  if (verdict === "unproved") return "unproved";
  if (verdict === "holds") return undefined;
  const told = findings.find(({ subject, story }) => subject.rule === rule && story !== undefined && story.length > 0);
  return { kind: "rule", what: rule, story: told?.story ?? [] };
}

function brokenPlace(
  context: Context,
  asking: Exclude<Asking, { readonly kind: "rule" }>,
): Broken | "unproved" | undefined {
  const slipped = equals(context.model.world.done(SLIPPED), 1);
  const same = owed(context).filter(
    (one) =>
      one.asking.kind === asking.kind &&
      one.asking.condition === asking.condition &&
      (one.asking.kind !== "need" || asking.kind !== "need" || one.asking.step === asking.step),
  );
  const atPlace = new Map(same.flatMap(({ wrong }) => [...wrong].map(([id, truth]) => [id, and(slipped, truth)])));
  const answer = ask(context, { monitors: [], atPlace, names: [...atPlace.values()] });
  if (answer.verdict !== "violated") return answer.verdict === "unproved" ? "unproved" : undefined;
  const wrong = or(atPlace.get(placeAfter(answer.search, answer.path).id)!);
  const text = textOf(asking.condition);
  const story = storyOf(answer.search, answer.path, {
    isWrong: (state) => evaluate(wrong, state),
    relevant: answer.relevant,
    ending: { when: asking.kind === "promise" ? "end" : "then", what: `not so: ${text}` },
  });
  return story ? { kind: asking.kind, what: text, story: story.lines } : "unproved";
}
