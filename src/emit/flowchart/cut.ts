import { type Detached, detachLargest, nodeFlow, type Pairs, sequence, shapesIn, withoutLead } from "./detach.js";
import { type Flow, type ForkFlow, goesOn, type LanesFlow, type SequenceFlow } from "./flow.js";

/** How large a chart comes out, as a part of what a page holds: 1 fits just so. */
export type Fill = (chart: SequenceFlow) => { readonly width: number; readonly height: number };

/** Below this a page is worth filling with the first of what comes next, though that must be taken apart for it. */
const SPARSE = 0.55;
const LONG = 7;

/**
 * Cuts a chart into charts that each fit a page. A line that is cut ends in a connector and goes on from its twin; a part
 * too big to stand where it belongs is taken out the same way. Only a single shape that is larger than a page stays so.
 */
export function cutToFit(chart: SequenceFlow, fill: Fill, pairs: Pairs): readonly SequenceFlow[] {
  const charts: SequenceFlow[] = [];
  const waiting: SequenceFlow[] = [chart];
  for (let next = waiting.shift(); next; next = waiting.shift()) {
    const { page, rest, parts } = firstPage(next, fill, pairs);
    for (const { part, isAhead } of parts) if (isAhead) charts.push(...cutToFit(part, fill, pairs));
    charts.push(page);
    waiting.unshift(...(rest ? [rest] : []), ...parts.flatMap(({ part, isAhead }) => (isAhead ? [] : [part])));
  }
  return charts;
}

interface FirstPage {
  readonly page: SequenceFlow;
  readonly rest?: SequenceFlow;
  /** What was taken out of this page. */
  readonly parts: readonly Detached[];
}

function firstPage(chart: SequenceFlow, fill: Fill, pairs: Pairs): FirstPage {
  let items = chart.of;
  const parts: Detached[] = [];
  for (;;) {
    const count = longestFit(items, fill);
    if (count === items.length) return { page: sequence(items), parts };
    const least = Math.min(withoutLead(items)[0].length + 1, items.length);
    const taken = count < least ? forced(items, least, fill, pairs) : worthwhile(items, count, fill, pairs);
    if (!taken) return { ...cutAfter(items, Math.max(count, least), pairs), parts };
    if (taken.cut !== undefined) {
      const [page, rest] = [taken.items.slice(0, taken.cut), taken.items.slice(taken.cut)];
      return { page: sequence(page), rest: sequence(rest), parts };
    }
    items = taken.items;
    parts.push(...taken.parts);
  }
}

/** Not even the first item fits: it must be taken apart, if it is no single shape. */
function forced(items: readonly Flow[], least: number, fill: Fill, pairs: Pairs): Apart | undefined {
  const target = firstPart(items, 0, least);
  return target === undefined ? undefined : takeApart(items, target, fill, pairs);
}

/** The page is half empty, and what comes next is long: it is taken apart if then more of it fits. */
function worthwhile(items: readonly Flow[], count: number, fill: Fill, pairs: Pairs): Apart | undefined {
  const next = items[count];
  if (!next || shapesIn(next) < LONG || fill(sequence(items.slice(0, count))).height >= SPARSE) return undefined;
  const taken = takeApart(items, count, fill, pairs);
  return taken && (taken.cut !== undefined || longestFit(taken.items, fill) > count) ? taken : undefined;
}

/** The most items from the first on that fit a page, with a connector after them where there are more. */
function longestFit(items: readonly Flow[], fill: Fill): number {
  let low = 0;
  let high = items.length;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if (fits(items.slice(0, middle), middle < items.length, fill)) low = middle;
    else high = middle - 1;
  }
  return low;
}

function fits(items: readonly Flow[], cut: boolean, fill: Fill): boolean {
  const size = fill(sequence(cut && goesOn(sequence(items)) ? [...items, STAND_IN] : items));
  return size.width <= 1 && size.height <= 1;
}

function firstPart(items: readonly Flow[], from: number, to: number): number | undefined {
  for (let index = from; index < to; index += 1) {
    const kind = items[index]?.kind;
    if (kind === "fork" || kind === "loop" || kind === "lanes") return index;
  }
  return undefined;
}

interface Apart {
  readonly items: readonly Flow[];
  readonly parts: readonly Detached[];
  /** The page ends after so many of the items. */
  readonly cut?: number;
}

/**
 * Lanes are cut across, all at about the same height; ways too many to stand side by side go under each other; else the largest part is
 * taken out. So it is of lanes too wide for the page as well, where a cut would leave most of the page empty.
 */
function takeApart(items: readonly Flow[], index: number, fill: Fill, pairs: Pairs): Apart | undefined {
  const item = items[index];
  if (!item) return undefined;
  const before = items.slice(0, index);
  if (item.kind === "lanes") {
    const halves = cutAcross(item, (half) => fits([...before, half], false, fill), pairs);
    const isSparse = halves && fill(sequence([...before, halves[0]])).height < SPARSE;
    const detached = isSparse && fill(sequence([item])).width > 1 ? detachLargest(item, pairs) : undefined;
    if (detached) return { items: items.with(index, detached.flow), parts: [detached] };
    if (halves) return { items: [...before, ...halves, ...items.slice(index + 1)], parts: [], cut: index + 1 };
  }
  if (item.kind === "fork" && item.rights.length > 1 && fill(sequence([item])).width > 1) {
    return { items: items.with(index, oneByOne(item)), parts: [] };
  }
  const detached = detachLargest(item, pairs);
  return detached && { items: items.with(index, detached.flow), parts: [detached] };
}

/** The question again under itself for each way after the first, so that one way leaves to the right at a time. */
function oneByOne(fork: ForkFlow): ForkFlow {
  const [first, ...rest] = fork.rights;
  if (!first || rest.length === 0) return fork;
  const count = Number(/#or(\d+)$/.exec(fork.decision.id)?.[1] ?? 1) + 1;
  const { heading: _, ...decision } = fork.decision;
  const id = `${fork.decision.id.replace(/#or\d+$/, "")}#or${count}`;
  const next = oneByOne({ ...fork, decision: { ...decision, id }, rights: rest });
  return { ...fork, down: { label: "or", flow: sequence([next]) }, rights: [first] };
}

/** As many steps of each lane as will go on the page, the same share of each. */
function cutAcross(
  lanes: LanesFlow,
  fitsHere: (half: LanesFlow) => boolean,
  pairs: Pairs,
): readonly [LanesFlow, LanesFlow] | undefined {
  const parts = lanes.lanes.map((lane) => withoutLead(lane.flow.of));
  const longest = Math.max(...parts.map(([, rest]) => rest.length));
  for (let most = longest - 1; most >= 1; most -= 1) {
    const counts = parts.map(([lead, rest]) => lead.length + Math.ceil((rest.length * most) / longest));
    if (!fitsHere(upperHalf(lanes, counts, () => STAND_IN))) continue;
    const cuts = lanes.lanes.map(({ flow }, index) =>
      goesOn(sequence(flow.of.slice(0, counts[index]))) ? pairs.next() : undefined,
    );
    const upper = upperHalf(lanes, counts, (index) => nodeFlow(cuts[index]?.out ?? STAND_IN.node));
    const lower = lanes.lanes.map((lane, index) => {
      const pair = cuts[index];
      return {
        ...lane,
        flow: sequence([...(pair ? [nodeFlow(pair.back)] : []), ...lane.flow.of.slice(counts[index])]),
      };
    });
    const ended = lanes.ended || cuts.includes(undefined);
    return [upper, { ...lanes, lanes: lower, resumed: true, ...(ended ? { ended } : {}) }];
  }
  return undefined;
}

function upperHalf(lanes: LanesFlow, counts: readonly number[], end: (index: number) => Flow): LanesFlow {
  const cut = lanes.lanes.map((lane, index) => {
    const kept = lane.flow.of.slice(0, counts[index]);
    return { ...lane, flow: sequence(goesOn(sequence(kept)) ? [...kept, end(index)] : kept) };
  });
  return { ...lanes, lanes: cut };
}

function cutAfter(
  items: readonly Flow[],
  count: number,
  pairs: Pairs,
): { readonly page: SequenceFlow; readonly rest?: SequenceFlow } {
  const [here, there] = [items.slice(0, count), items.slice(count)];
  if (there.length === 0) return { page: sequence(here) };
  if (!goesOn(sequence(here))) return { page: sequence(here), rest: sequence(there) };
  const pair = pairs.next();
  return { page: sequence([...here, nodeFlow(pair.out)]), rest: sequence([nodeFlow(pair.back), ...there]) };
}

/** Takes up the room of a connector while its letter is not yet known. */
const STAND_IN: Flow & { readonly kind: "node" } = {
  kind: "node",
  node: {
    id: "connector",
    shape: "connector",
    number: "",
    head: "to p. 88",
    text: ["M"],
    heavy: false,
    alerts: [],
    leads: true,
  },
};
