import type { Step } from "../../src/program/procedure.js";
import type { Explored } from "./explore.js";
import type { Config } from "./walk.js";

export interface Stuck {
  readonly steps: readonly Step[];
  readonly moments: number;
}

/** Waits that nothing can end, nor another finding cut short. Waits stuck together are one. */
export function waitsForEver(explored: Explored, cutShort: ReadonlySet<number>): Stuck[] {
  const { configs, edges, moments, walker } = explored;
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

/** Repeats at whose head stands a state from which no path leaves; one that is counted always ends. */
export function neverEnds(explored: Explored): Stuck[] {
  const { configs, edges, moments, walker } = explored;
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
  const found = new Map<Step, number>();
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
      if (atHead) found.set(step, Math.min(found.get(step) ?? Infinity, moments[id]!));
    }
  }
  return [...found].map(([step, at]) => ({ steps: [step], moments: at }));
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
