import type { Step } from "../../src/program/procedure.js";
import type { Explored } from "./explore.js";
import { mustFire } from "./settle.js";
import type { Config } from "./walk.js";

export interface Stuck {
  readonly steps: readonly Step[];
  readonly moments: number;
}

/** Waits that nothing can end, nor another finding cut short. Waits stuck together are one. */
export function waitsForEver(explored: Explored, cutShort: ReadonlySet<number>): Stuck[] {
  const { edges, moments } = explored;
  const stuck = stuckWaits(explored, cutShort);
  const bottoms = new Map<string, Stuck>();
  for (const [id, waits] of stuck) {
    const more = edges[id]!.some((next) => (stuck.get(next)?.size ?? 0) > waits.size);
    if (more) continue;
    const key = [...waits.keys()].sort().join();
    const known = bottoms.get(key);
    bottoms.set(key, {
      steps: [...waits.values()],
      moments: Math.min(known?.moments ?? Infinity, moments[id]!),
    });
  }
  return merge([...bottoms.values()]);
}

/** By configuration the waits in it that never end, by the place of the lane that waits. */
export function stuckWaits(explored: Explored, cutShort: ReadonlySet<number>): Map<number, Map<string, Step>> {
  const { configs, edges, walker } = explored;
  const groups = new Map<string, { lane: number; step: Step }>();
  configs.forEach((config) => {
    config.lanes.forEach((lane, number) => {
      const step = walker.waitingAt(config, number);
      if (step) groups.set(`${number}:${walker.laneKey(lane)}`, { lane: number, step });
    });
  });
  const stuck = new Map<number, Map<string, Step>>();
  for (const [key, { lane, step }] of groups) {
    const isIn = (config: Config) =>
      config.lanes[lane] !== undefined && `${lane}:${walker.laneKey(config.lanes[lane])}` === key;
    const goesOn = (config: Config, id: number) => cutShort.has(id) || walker.canGoOn(config, lane);
    for (const id of trapped(configs, edges, isIn, goesOn)) stuck.set(id, (stuck.get(id) ?? new Map()).set(key, step));
  }
  return stuck;
}

export interface Late {
  readonly id: number;
  readonly step: Step;
  /** Where it comes to when the limit ends it. */
  readonly after: readonly number[];
}

/** Waits with a limit, in configurations in which what is waited for cannot come any more: only the limit ends them. */
export function lateWaits(explored: Explored, cutShort: ReadonlySet<number>): readonly Late[] {
  const { configs, edges, walker } = explored;
  const placesOf = (config: Config) => config.lanes.map((lane) => walker.laneKey(lane));
  const places = new Map<string, { readonly lane: number; readonly step: Step }>();
  for (const config of configs)
    config.lanes.forEach((lane, number) => {
      const top = lane.at(-1);
      const waits = top && "ops" in top && top.ops[0]?.op === "await" && top.step?.kind === "wait-for";
      if (waits && top.step?.kind === "wait-for" && top.step.within !== undefined)
        places.set(JSON.stringify([number, placesOf(config)]), { lane: number, step: top.step });
    });
  return [...places].flatMap(([key, { lane, step }]) => {
    const isIn = (config: Config) => JSON.stringify([lane, placesOf(config)]) === key;
    const runsOut = (config: Config, next: Config) =>
      placesOf(next).every((place, number) => number === lane || place === placesOf(config)[number]) &&
      next.lanes.length === config.lanes.length &&
      !walker.laneKey(next.lanes[lane]!).startsWith(walker.laneKey(config.lanes[lane]!));
    const others = edges.map((nexts, id) =>
      isIn(configs[id]!) ? nexts.filter((next) => !runsOut(configs[id]!, configs[next]!)) : nexts,
    );
    const canEnd = (config: Config, id: number) =>
      cutShort.has(id) || (walker.canGoOn(config, lane) && !mustFire(walker.world, config.state));
    const ids = trapped(configs, others, isIn, canEnd);
    return ids.map((id) => ({ id, step, after: edges[id]!.filter((next) => !others[id]!.includes(next)) }));
  });
}

/** Repeats at whose head stands a state from which no path leaves; one that is counted always ends. */
export function neverEnds(explored: Explored): Stuck[] {
  const found = new Map<Step, number>();
  for (const { id, step } of stuckLoops(explored))
    found.set(step, Math.min(found.get(step) ?? Infinity, explored.moments[id]!));
  return [...found].map(([step, at]) => ({ steps: [step], moments: at }));
}

/** Configurations at the head of a repeat from which no path leaves it. */
export function stuckLoops(explored: Explored): { readonly id: number; readonly step: Step }[] {
  const { configs, edges, walker } = explored;
  const loops = new Map<string, { lane: number; depth: number; step: Step }>();
  configs.forEach((config) => {
    config.lanes.forEach((lane, number) => {
      lane.forEach((frame, depth) => {
        if ("loop" in frame && frame.loop && frame.step?.kind === "repeat" && frame.step.times === undefined)
          loops.set(`${number}:${depth}:${walker.laneKey(lane.slice(0, depth))}`, {
            lane: number,
            depth,
            step: frame.step,
          });
      });
    });
  });
  const found: { readonly id: number; readonly step: Step }[] = [];
  for (const [key, { lane, depth, step }] of loops) {
    const isIn = (config: Config) => {
      const frames = config.lanes[lane];
      const frame = frames?.[depth];
      return (
        frame !== undefined &&
        "loop" in frame &&
        frame.loop !== undefined &&
        frame.step === step &&
        `${lane}:${depth}:${walker.laneKey(frames!.slice(0, depth))}` === key
      );
    };
    for (const id of trapped(configs, edges, isIn)) {
      const top = configs[id]!.lanes[lane]!.at(-1)!;
      const atHead = configs[id]!.lanes[lane]!.length === depth + 1 && "ops" in top && top.ops[0]?.op === "body";
      if (atHead) found.push({ id, step });
    }
  }
  return found;
}

/** The configurations of a set from which no path leaves it, nor comes to one of it that counts as leaving. */
function trapped(
  configs: readonly Config[],
  edges: readonly (readonly number[])[],
  isIn: (config: Config) => boolean,
  leaves: (config: Config, id: number) => boolean = () => false,
): number[] {
  const inside = configs.flatMap((config, id) => (isIn(config) ? [id] : []));
  const members = new Set(inside);
  const back = new Map<number, number[]>();
  const free: number[] = [];
  const escaped = new Set<number>();
  for (const id of inside) {
    if (leaves(configs[id]!, id) || edges[id]!.some((next) => !members.has(next))) {
      free.push(id);
      escaped.add(id);
    }
    for (const next of edges[id]!) if (members.has(next)) back.set(next, [...(back.get(next) ?? []), id]);
  }
  for (let id = free.pop(); id !== undefined; id = free.pop())
    for (const previous of back.get(id) ?? [])
      if (!escaped.has(previous)) {
        escaped.add(previous);
        free.push(previous);
      }
  return inside.filter((id) => !escaped.has(id));
}

function merge(all: readonly Stuck[]): Stuck[] {
  const merged: Stuck[] = [];
  for (const one of all) {
    const place = merged.findIndex((other) => other.steps.some((step) => one.steps.includes(step)));
    if (place < 0) merged.push({ ...one, steps: [...new Set(one.steps)] });
    else {
      const other = merged[place]!;
      merged[place] = {
        steps: [...new Set([...other.steps, ...one.steps])],
        moments: Math.min(other.moments, one.moments),
      };
    }
  }
  return merged.length < all.length ? merge(merged) : merged;
}
