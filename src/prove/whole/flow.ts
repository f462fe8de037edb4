import type { Finding } from "../../diagnostics/finding.js";
import { and, not } from "../../machine/expression.js";
import type { Node, Probe } from "../../machine/graph/graph.js";
import { EMPTY, type Ref } from "../../machine/symbolic/bdd.js";
import type { Search } from "../../machine/symbolic/search.js";
import type { Condition } from "../../program/condition.js";
import type { Step } from "../../program/procedure.js";
import type { Context } from "../context.js";
import {
  FLOW_BEGINS,
  FLOW_GAP,
  FLOW_HAND_OVER,
  FLOW_NEEDS,
  FLOW_PROMISE,
  GUARD_CLOSED,
  LANES_HELD,
  NEVER_ENDS,
  WAITS_FOR_EVER,
} from "../kinds.js";
import { nameOf, quote, stepName, textOf } from "../words.js";
import { neverSettlingAt } from "./settling.js";
import { atPlaces, ready, tell } from "./tell.js";

type Of<K extends Probe["kind"]> = Extract<Probe, { readonly kind: K }>;

/** Can the procedure be gone through, and does it keep its word: needs, guards, waits, loops, decisions, promises. */
export function proveFlow(context: Context, search: Search): readonly Finding[] {
  const { probes } = context.model.graph;
  const found = probes.flatMap((probe): readonly (Finding | undefined)[] => {
    switch (probe.kind) {
      case "needs":
      case "begins":
        return [demand(context, search, probe)];
      case "guard":
        return [guard(context, search, probe)];
      case "held":
        return [held(context, search, probe)];
      case "hand-over":
        return [handOver(context, search, probe)];
      default:
        return [];
    }
  });
  return [...found, ...stuck(context, search), ...gaps(context, search), ...promises(context, search)].filter(
    (one) => one !== undefined,
  );
}

function demand(context: Context, search: Search, probe: Of<"needs" | "begins">): Finding | undefined {
  const { bdd } = search.space;
  const wrong = bdd.diff(ready(search), search.space.set(probe.truth));
  const text = quote(probe.condition);
  const atPlace = atPlaces(search, probe.nodes, () => wrong);
  if (atPlace.size === 0) return undefined;
  const performed = probe.step?.kind === "perform" ? probe.step.target.id : "";
  const message =
    probe.kind === "needs"
      ? `this step needs ${text}, and can be come to without it`
      : `\`${performed}\` takes for granted that ${text}, and can be come to without it`;
  return tell(
    context,
    search,
    { atPlace },
    {
      kind: probe.kind === "needs" ? FLOW_NEEDS : FLOW_BEGINS,
      step: probe.step,
      message,
      about: probe.truth,
      more: {
        labels: [
          { at: probe.condition.span, text: probe.kind === "needs" ? "asked for here" : "taken for granted here" },
        ],
        help: [`see to it that ${text} before ${stepName(probe.step!)}`],
      },
      ending: { when: stepName(probe.step!), what: `come to without ${text}`, at: probe.step!.verb },
    },
  );
}

function guard(context: Context, search: Search, probe: Of<"guard">): Finding | undefined {
  const { bdd } = search.space;
  const wrong = bdd.and(ready(search), search.space.set(probe.closed));
  const atPlace = atPlaces(search, probe.nodes, () => wrong);
  if (atPlace.size === 0) return undefined;
  const name = nameOf(context.model.world.system, probe.control);
  return tell(
    context,
    search,
    { atPlace },
    {
      kind: GUARD_CLOSED,
      step: probe.step,
      thing: probe.control,
      about: probe.closed,
      message: `${name} is moved while its guard may be closed`,
      more: { help: [`open the guard in a line of its own: \`set: { ${probe.control}.guard: open }\``] },
      ending: { when: stepName(probe.step!), what: `${name} is moved under its closed guard`, at: probe.step!.verb },
    },
  );
}

function held(context: Context, search: Search, probe: Of<"held">): Finding | undefined {
  const atPlace = atPlaces(search, probe.nodes, () => ready(search));
  if (atPlace.size === 0 || !probe.step) return undefined;
  const name = nameOf(context.model.world.system, probe.control);
  return tell(
    context,
    search,
    { atPlace },
    {
      kind: LANES_HELD,
      step: probe.step,
      thing: probe.control,
      message: `${name} is to be moved here while the other person holds it`,
      more: { help: ["let one wait until the other has let go: `wait-for: done STEP`"] },
      ending: { when: stepName(probe.step), what: `${name} is held by the other`, at: probe.step.verb },
    },
  );
}

function handOver(context: Context, search: Search, probe: Of<"hand-over">): Finding | undefined {
  const kept = probe.step ? [] : context.procedure.ends.map((end) => context.model.world.lower(end));
  const wrong = and(...kept, not(probe.truth));
  const atPlace = atPlaces(search, probe.nodes, () => search.space.set(wrong));
  if (atPlace.size === 0) return undefined;
  const text = quote(probe.condition);
  const told = tell(
    context,
    search,
    { atPlace, asked: { atPlace: new Map(probe.nodes.map(({ id }) => [id, wrong])), names: [wrong] } },
    {
      kind: FLOW_HAND_OVER,
      step: probe.step,
      thing: probe.procedure,
      about: probe.truth,
      message: `\`${probe.procedure}\` takes for granted that ${text}, and this card can end without it`,
      more: {
        labels: [{ at: probe.condition.span, text: "taken for granted here" }],
        help: [
          probe.step
            ? `see to it that ${text} before ${stepName(probe.step)}, or take less for granted in \`${probe.procedure}\``
            : `make it so before the end and promise it in \`ends\`, or take less for granted in \`${probe.procedure}\``,
        ],
      },
      ending: probe.step
        ? { when: stepName(probe.step), what: `left without ${text}`, at: probe.step.verb }
        : { when: "end", what: `handed over without ${text}` },
    },
  );
  return told && !probe.step && context.procedure.next ? { ...told, at: context.procedure.next.span } : told;
}

function gaps(context: Context, search: Search): readonly (Finding | undefined)[] {
  const nodes = context.model.graph.nodes.filter((node) => node.end?.kind === "gap");
  return nodes.map((node) => {
    const step = node.end?.kind === "gap" ? node.end.step : undefined;
    const atPlace = atPlaces(search, [node], () => 1);
    if (atPlace.size === 0 || !step) return undefined;
    return tell(
      context,
      search,
      { atPlace },
      {
        kind: FLOW_GAP,
        step,
        message: "no way of this decision fits every case that can come up",
        more: { help: ["add a way for the case that the story starts from, or an `otherwise`"] },
        ending: { when: stepName(step), what: "none of the ways fits", at: step.verb },
      },
    );
  });
}

function promises(context: Context, search: Search): readonly (Finding | undefined)[] {
  return context.procedure.ends.map((end) => promise(context, search, end));
}

function promise(context: Context, search: Search, end: Condition): Finding | undefined {
  const { finish } = context.model.graph;
  const wrong = not(context.model.world.lower(end));
  const atPlace = atPlaces(search, [finish], () => search.space.set(wrong));
  if (atPlace.size === 0) return undefined;
  const text = quote(end);
  const told = tell(
    context,
    search,
    { atPlace, asked: { atPlace: new Map([[finish.id, wrong]]), names: [wrong] } },
    {
      kind: FLOW_PROMISE,
      step: undefined,
      thing: textOf(end),
      about: context.model.world.lower(end),
      message: `the card can end without what it promises: ${text}`,
      more: { help: ["add the step or the wait that makes it so, or promise less"] },
      ending: { when: "end", what: `finished without ${text}` },
    },
  );
  return told && { ...told, at: end.span };
}

/** Waits and loops that cannot be left any more. What several lanes wait for in one state is one finding that names every wait. */
function stuck(context: Context, search: Search): readonly (Finding | undefined)[] {
  const { bdd } = search.space;
  const waits: { readonly probe: Of<"stuck">; readonly bad: Map<number, Ref> }[] = [];
  const loops: (Finding | undefined)[] = [];
  const failing = cutShort(context, search);
  for (const probe of context.model.graph.probes) {
    if (probe.kind !== "stuck") continue;
    const asked = new Map(probe.nodes.map((node) => [node.id, search.reachedAt(node.id)]));
    const canLeave = search.canLeave(
      probe.region,
      asked,
      probe.what === "wait" ? { counts: failing } : { notBy: (edge) => leadsToGap(context, edge.to) },
    );
    const bad = new Map(atPlaces(search, probe.nodes, (node) => bdd.not(canLeave.get(node.id) ?? EMPTY)));
    if (bad.size === 0) continue;
    if (probe.what === "wait") waits.push({ probe, bad });
    else loops.push(neverEnds(context, search, probe.step!, bad));
  }
  return [...loops, ...groupWaits(search, waits).map((group) => waitsForEver(context, search, inTurn(context, group)))];
}

/** A loop that can only end in a gap never ends as it should. */
export function leadsToGap(context: Context, node: Node): boolean {
  const seen = new Set<Node>();
  let at = node;
  while (!at.end && !seen.has(at)) {
    seen.add(at);
    const edges = context.model.graph.outgoing.get(at) ?? [];
    if (edges.length !== 1) return false;
    at = edges[0]!.to;
  }
  return at.end?.kind === "gap";
}

/** States from which a path ends by a finding of its own: what does not go on from them has that cause, and is told there. */
export function cutShort(context: Context, search: Search): ReadonlyMap<number, Ref> {
  const { bdd } = search.space;
  const found = new Map(neverSettlingAt(search));
  for (const probe of context.model.graph.probes) {
    if (probe.kind !== "needs" && probe.kind !== "begins") continue;
    const wrong = bdd.diff(ready(search), search.space.set(probe.truth));
    for (const [id, states] of atPlaces(search, probe.nodes, () => wrong))
      found.set(id, bdd.or(found.get(id) ?? EMPTY, states));
  }
  return found;
}

interface Waiting {
  readonly steps: readonly Step[];
  readonly bad: Map<number, Ref>;
}

/** States in which the same steps wait for ever are one deadlock; who waits already while another still works, is part of it. */
function groupWaits(
  search: Search,
  waits: readonly { readonly probe: Of<"stuck">; readonly bad: ReadonlyMap<number, Ref> }[],
): readonly Waiting[] {
  const groups = new Map<string, Waiting>();
  const ids = new Set(waits.flatMap(({ bad }) => [...bad.keys()]));
  for (const id of ids) {
    for (const { steps, states } of partsAt(search, waits, id)) {
      const key = steps
        .map((step) => step.name)
        .sort()
        .join(" ");
      const group = groups.get(key) ?? { steps, bad: new Map() };
      group.bad.set(id, search.space.bdd.or(group.bad.get(id) ?? EMPTY, states));
      groups.set(key, group);
    }
  }
  const all = [...groups.values()];
  return all.filter(({ steps }) => !all.some((other) => isPartOf(steps, other.steps)));
}

function isPartOf(steps: readonly Step[], others: readonly Step[]): boolean {
  return steps.length < others.length && steps.every((step) => others.includes(step));
}

/** The bad states of one place, parted by who waits in them. */
function partsAt(
  search: Search,
  waits: readonly { readonly probe: Of<"stuck">; readonly bad: ReadonlyMap<number, Ref> }[],
  id: number,
): readonly { readonly steps: readonly Step[]; readonly states: Ref }[] {
  const { bdd } = search.space;
  let parts: { readonly steps: readonly Step[]; readonly states: Ref }[] = [];
  for (const { probe, bad } of waits) {
    const states = bad.get(id) ?? EMPTY;
    const step = probe.step!;
    const split = parts.flatMap((part) => [
      { steps: part.steps, states: bdd.diff(part.states, states) },
      { steps: part.steps.includes(step) ? part.steps : [...part.steps, step], states: bdd.and(part.states, states) },
    ]);
    const rest = parts.reduce((left, part) => bdd.diff(left, part.states), states);
    parts = [...split, { steps: [step], states: rest }].filter((part) => part.states !== EMPTY);
  }
  return parts;
}

/** Who waits in so many words comes first, then who is kept waiting; each in the order of the text. */
function inTurn(context: Context, { steps, bad }: Waiting): Waiting {
  const turn = (step: Step) => (step.kind === "wait-for" ? 0 : 1);
  const place = (step: Step) => context.textOrder.get(step.name) ?? 0;
  const sorted = [...new Set(steps)].sort((one, other) => turn(one) - turn(other) || place(one) - place(other));
  return { steps: sorted, bad };
}

const SURE_OR_BOUND =
  "make sure beforehand of what it depends on, or say how long to wait and what then: `within` with `if-not`";
const ONE_FIRST = "let one of them go on first, or say how long to wait and what then: `within` with `if-not`";

function waitsForEver(
  context: Context,
  search: Search,
  group: { readonly steps: readonly Step[]; readonly bad: ReadonlyMap<number, Ref> },
): Finding | undefined {
  const [step, ...others] = group.steps;
  const awaited = step?.kind === "wait-for" ? quote(step.condition) : "what it waits for";
  const both = others.length > 0 ? ", while the other waits for this one" : "";
  return tell(
    context,
    search,
    { atPlace: group.bad },
    {
      kind: WAITS_FOR_EVER,
      step,
      message: `this can wait for ever: ${awaited} cannot come any more${both}`,
      more: {
        labels: others.map((other) => ({ at: other.verb, text: "waits for ever too" })),
        help: [others.length > 0 ? ONE_FIRST : SURE_OR_BOUND],
      },
      ending: { when: stepName(step!), what: "nothing that can happen ends the wait", at: step!.verb },
    },
  );
}

function neverEnds(context: Context, search: Search, step: Step, bad: ReadonlyMap<number, Ref>): Finding | undefined {
  const until = step.kind === "repeat" && step.until ? `: ${quote(step.until)} cannot come any more` : "";
  return tell(
    context,
    search,
    { atPlace: bad },
    {
      kind: NEVER_ENDS,
      step,
      message: `this can go round for ever${until}`,
      more: { help: ["say what changes inside (`moves`), bound it with `times`, or give a way out"] },
      ending: { when: stepName(step), what: "round and round, and nothing leads out", at: step.verb },
    },
  );
}
