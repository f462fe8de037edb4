import type { State } from "../../machine/concrete.js";
import { and, type Expression, equals, evaluate, FALSE, type Variable, variablesOf } from "../../machine/expression.js";
import { coneOf } from "../../machine/slice.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Broken, Telling } from "../../program/coverage.js";
import { ask, askVerdict } from "../answer.js";
import { type Context, wholeWith } from "../context.js";
import { placeAfter } from "../path.js";
import type { Query } from "../query.js";
import { breakOf } from "../rules.js";
import { storyOf } from "../story.js";
import { cutSearch, valuesIn } from "./cutting.js";
import { isSameAsking } from "./influence.js";
import { FAILURE_COMES, SLIP } from "./slipped.js";
import { SLIPPED } from "./slips.js";
import { type Asking, type OfPlaces, owed, ruleQuery, type Watching, watchedOver, whatOf } from "./suspects.js";

export interface Asked {
  readonly asked: readonly Asking[];
  /** Promises and needs among them that are known to be broken. */
  readonly broken?: ReadonlySet<Asking>;
  readonly isTold?: (asking: Asking) => boolean;
}

/** The first of what is asked about that is broken, with its story unless it has been told; undefined where all of it holds. */
export function confirmed(
  context: Context,
  { asked, broken: known = new Set(), isTold = () => false }: Asked,
): Broken | "unproved" | undefined {
  let unproved = false;
  let search: Search | undefined;
  for (const asking of asked) {
    if (asking.kind === "rule" || "monitor" in asking) {
      const broken = isTold(asking)
        ? brokenUntold(context, asking)
        : asking.kind === "rule"
          ? brokenRule(context, asking.rule)
          : brokenWatching(context, asking);
      if (broken === "unproved") unproved = true;
      else if (broken) return broken;
      continue;
    }
    const truths = wrongPlaces(context, asking);
    if (!known.has(asking)) {
      search ??= searchWithMark(context, []);
      if (wrongAt(search, truths) === EMPTY) continue;
    }
    const { kind } = asking;
    const what = whatOf(asking);
    return { kind, what, story: isTold(asking) ? [] : storyTo(context, truths, kind, what) };
  }
  return unproved ? "unproved" : undefined;
}

/** For each slip, by its number, the promises and needs that it breaks: of all slips in one search. */
export function brokenAtPlaces(
  context: Context,
  wanted: (asking: Asking) => ReadonlySet<number>,
): ReadonlyMap<number, readonly OfPlaces[]> {
  const slip = context.model.world.outside(SLIP)!;
  const found = new Map<number, OfPlaces[]>();
  const all = owed(context).map(({ asking }) => ({ asking, slips: wanted(asking) }));
  const some = all.filter(({ slips }) => slips.size > 0);
  if (some.length === 0) return found;
  const search = searchWithMark(context, [slip]);
  for (const { asking, slips } of some) {
    for (const value of valuesIn(search, wrongAt(search, wrongPlaces(context, asking)), slip))
      if (slips.has(value)) found.set(value, [...(found.get(value) ?? []), asking]);
  }
  return found;
}

/**
 * A search of everything, the mark of the slip too: where no line comes to it, nothing asks for it. Nothing but promises and needs is
 * asked of it.
 */
function searchWithMark(context: Context, first: readonly Variable[]): Search {
  const slipped = equals(context.model.world.done(SLIPPED), 1);
  const whole = wholeWith(context, [], [slipped]);
  const asked = new Map<number, Variable[]>();
  for (const { wrong } of owed(context))
    for (const [id, truth] of wrong) asked.set(id, [...(asked.get(id) ?? []), ...variablesOf(and(slipped, truth))]);
  const readAt = (id: number) => [...first, ...(asked.get(id) ?? [])];
  return cutSearch({ ...context, whole }, { at: new Map(), closed: new Set() }, first, readAt).run();
}

/** The verdict alone. */
function brokenUntold(context: Context, asking: Exclude<Asking, OfPlaces>): Broken | "unproved" | undefined {
  const query = queryOf(context, asking);
  const verdict = query ? askVerdict(context, query) : "holds";
  if (verdict !== "violated") return verdict === "unproved" ? verdict : undefined;
  return { kind: asking.kind, what: whatOf(asking), story: [] };
}

function queryOf(context: Context, asking: Exclude<Asking, OfPlaces>): Query | undefined {
  if (asking.kind !== "rule") return watchedOver(context).find((one) => isSameAsking(one.asking, asking))?.query;
  const lowered = context.model.rules.find(({ rule }) => rule.id === asking.rule);
  return lowered && ruleQuery(context.model, lowered);
}

function brokenRule(context: Context, rule: string): Broken | "unproved" | undefined {
  const lowered = context.model.rules.find((one) => one.rule.id === rule);
  if (!lowered) return undefined;
  const { verdict, story = [] } = breakOf(context, lowered);
  if (verdict !== "violated") return verdict === "unproved" ? verdict : undefined;
  return { kind: "rule", what: rule, story: story.map(byItself) };
}

function brokenWatching(context: Context, asking: Watching): Broken | "unproved" | undefined {
  const query = queryOf(context, asking);
  if (!query) return undefined;
  const answer = ask(context, query);
  if (answer.verdict === "unproved") return "unproved";
  if (answer.verdict === "holds") return undefined;
  const { search, path, relevant } = answer;
  const isWrong = (state: State) => query.names.some((broken) => evaluate(broken, state));
  const story = storyOf(search, path, { isWrong, relevant });
  return { kind: asking.kind, what: asking.of, story: (story?.lines ?? []).map(byItself) };
}

/** What is wrong once the slip is made, by node id. */
function wrongPlaces(context: Context, asking: OfPlaces): ReadonlyMap<number, Expression> {
  const slipped = equals(context.model.world.done(SLIPPED), 1);
  const same = owed(context).filter((one) => isSameAsking(one.asking, asking));
  return new Map(same.flatMap(({ wrong }) => [...wrong].map(([id, truth]) => [id, and(slipped, truth)])));
}

function wrongAt(search: Search, truths: ReadonlyMap<number, Expression>): Ref {
  const { space } = search;
  const wrong = [...truths].map(([id, truth]) => space.bdd.and(search.reachedAt(id), space.set(truth)));
  return wrong.reduce<Ref>((sum, states) => space.bdd.or(sum, states), EMPTY);
}

/** The shortest way there, looked for in a slice of the model; nothing where a limit comes first. */
function storyTo(
  context: Context,
  atPlace: ReadonlyMap<number, Expression>,
  kind: "promise" | "need",
  text: string,
): readonly Telling[] {
  const answer = ask(context, { monitors: [], atPlace, names: [...atPlace.values()] });
  if (answer.verdict !== "violated") return [];
  const wrong = atPlace.get(placeAfter(answer.search, answer.path).id) ?? FALSE;
  const story = storyOf(answer.search, answer.path, {
    isWrong: (state) => evaluate(wrong, state),
    relevant: coneOf(context.influences, variablesOf(wrong)),
    ending: { when: kind === "promise" ? "end" : "then", what: `not so: ${text}` },
  });
  return (story?.lines ?? []).map(byItself);
}

/** A failure comes with a mark, which is no act of the crew. */
function byItself(line: Telling): Telling {
  if (line.what !== "done" || line.effect === undefined) return line;
  const { effect, at: _at, ...rest } = line;
  const fails = effect.split(", ").filter((one) => one !== FAILURE_COMES);
  return { ...rest, when: "then", what: `${fails.join(", ")}, by itself` };
}
