import { type Finding, finding } from "../../diagnostics/finding.js";
import { type Expression, equals, evaluate, FALSE, not, or } from "../../machine/expression.js";
import type { Edge } from "../../machine/graph/graph.js";
import { choose, type Operation } from "../../machine/operation.js";
import { EMPTY } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Monitor } from "../../machine/transitions.js";
import type { Step } from "../../program/procedure.js";
import { walkSteps } from "../../program/walk.js";
import { type Answer, ask, askVerdict } from "../answer.js";
import type { Context } from "../context.js";
import { COVER_GAP, UNPROVED } from "../kinds.js";
import type { Query } from "../query.js";
import { storyOf } from "../story.js";
import { nameOf } from "../words.js";
import { expectedOf } from "./observe.js";

type Observe = Extract<Step, { readonly kind: "observe" }>;

/**
 * Every light of a set that the card claims to test is seen lit, and seen out, on every path to its end. What shows in every
 * state at looks that no path goes round is plain to see; of the rest one question for all comes first, and where it has no
 * clean answer each light is asked about by itself.
 */
export function proveCovers(context: Context, search: Search): readonly Finding[] {
  const { world } = context.model;
  const looks = observing(context);
  return context.procedure.covers.flatMap((cover) => {
    const lights = (world.system.lightSets.get(cover.set)?.lights ?? []).filter((light) => world.isFitted(light));
    const claims = lights
      .flatMap((light) => (["lit", "out"] as const).map((state) => claimOf(context, looks, light, state)))
      .filter((claim) => !isPlain(context, search, claim));
    if (claims.length === 0 || askVerdict(context, queryOf(context, claims)) === "holds") return [];
    return claims.flatMap((claim) => coverGap(context, cover, claim));
  });
}

/** That a light is seen lit, or out, with the monitor that notes it. */
interface Claim {
  readonly light: string;
  readonly state: "lit" | "out";
  readonly monitor: Monitor;
  readonly unseen: Expression;
  readonly names: readonly Expression[];
  /** What each look has to meet to show it so. */
  readonly truths: ReadonlyMap<Edge, Expression>;
}

/** Does every path to the end go over a look that shows it in every state in which it can be done? */
function isPlain(context: Context, search: Search, { truths }: Claim): boolean {
  const shows = new Set([...truths].filter(([edge, truth]) => showsAlways(search, edge, truth)).map(([edge]) => edge));
  if (shows.size === 0) return false;
  const { start, finish, outgoing } = context.model.graph;
  const round = new Set([start]);
  for (const node of round)
    for (const edge of outgoing.get(node) ?? [])
      if (!shows.has(edge) && search.reachedAt(edge.to.id) !== EMPTY) round.add(edge.to);
  return !round.has(finish);
}

function showsAlways(search: Search, edge: Edge, truth: Expression): boolean {
  return search.space.bdd.isWithin(search.momentsOf(edge), search.space.set(truth));
}

function askClaims(context: Context, claims: readonly Claim[]): Answer {
  return ask(context, queryOf(context, claims));
}

function queryOf(context: Context, claims: readonly Claim[]): Query {
  const unseen = or(...claims.map((claim) => claim.unseen));
  const atPlace = new Map([[context.model.graph.finish.id, unseen]]);
  return {
    monitors: claims.map((claim) => claim.monitor),
    atPlace,
    names: claims.flatMap((claim) => claim.names),
  };
}

/** The looks of `observe` steps outside any `if-not`. */
function observing(context: Context): ReadonlyMap<Edge, Observe> {
  const inside = new Set<Step>();
  for (const step of walkSteps(context.procedure.steps)) {
    if (step.kind === "check" || step.kind === "wait-for") for (const one of walkSteps(step.ifNot)) inside.add(one);
    if (step.kind === "observe")
      for (const branch of step.ifNot) for (const one of walkSteps(branch.steps)) inside.add(one);
  }
  const found = new Map<Edge, Observe>();
  for (const probe of context.model.graph.probes) {
    const { step } = probe;
    if (probe.kind !== "watch" || step?.kind !== "observe" || inside.has(step)) continue;
    for (const edge of probe.edges) found.set(edge, step);
  }
  return found;
}

function claimOf(context: Context, looks: ReadonlyMap<Edge, Observe>, light: string, state: "lit" | "out"): Claim {
  const watching = [...looks].filter(([, step]) => step.lights.includes(light));
  const seen = context.model.world.variable(`seen ${light} ${state}`, 2, { kind: "memory" });
  const truths = new Map(watching.map(([edge, step]) => [edge, seenTruth(context, step, light, state)]));
  const note = (truth: Expression): readonly Operation[] =>
    truth === FALSE ? [] : [choose({ when: truth, assign: [{ variable: seen, value: 1 }] })];
  const monitor: Monitor = {
    name: seen.name,
    variables: [seen],
    inputs: new Set(),
    before: [],
    after: [],
    scratch: [],
    start: [{ kind: "assign", variable: seen, value: 0 }],
    broken: FALSE,
    along: (edge) => note(truths.get(edge) ?? FALSE),
  };
  const unseen = equals(seen, 0);
  return { light, state, monitor, unseen, names: [unseen, ...truths.values()], truths };
}

function coverGap(context: Context, cover: Context["procedure"]["covers"][number], claim: Claim): readonly Finding[] {
  const { light, state, unseen } = claim;
  const name = nameOf(context.model.world.system, light);
  const subject = { procedure: context.procedure.id, thing: light };
  const message = `the card claims to test \`${cover.set}\`, and ${name} is not seen ${state} on every path`;
  const unproved = finding(UNPROVED, cover.span, `unproved: that ${name} is seen ${state} on every path`, { subject });
  if (context.limits.verdictsOnly) {
    const verdict = askVerdict(context, queryOf(context, [claim]));
    if (verdict === "holds") return [];
    return verdict === "unproved" ? [unproved] : [finding(COVER_GAP, cover.span, message, { subject })];
  }
  const answer = askClaims(context, [claim]);
  if (answer.verdict === "holds") return [];
  if (answer.verdict === "unproved") return [unproved];
  const story = storyOf(answer.search, answer.path, {
    isWrong: (value) => evaluate(unseen, value),
    relevant: answer.relevant,
    ending: { when: "end", what: `${name} was not seen ${state}` },
  });
  if (!story) return [unproved];
  const help =
    state === "lit" ? "observe it while it is lit" : "observe it once more when the test is over, with `lit: none`";
  return [finding(COVER_GAP, cover.span, message, { help: [help], story: story.lines, subject })];
}

/** When a look shows the light in that state; a light without logic is taken as listed. */
function seenTruth(context: Context, step: Observe, light: string, state: "lit" | "out"): Expression {
  const declared = context.model.world.system.lights.get(light);
  const hasLogic = declared?.litWhen !== undefined || declared?.flashingWhen !== undefined;
  const lit = hasLogic ? context.model.world.lowerLight(light, "lit") : expectedOf(context, step, light);
  return state === "lit" ? lit : not(lit);
}
