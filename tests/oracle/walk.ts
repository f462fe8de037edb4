import type { Condition } from "../../src/program/condition.js";
import type { Move, Step } from "../../src/program/procedure.js";
import { movesOf } from "./gauges.js";
import { type Act, mayFire, mustFire, nextMoment, numberOf, type Settled } from "./settle.js";
import { blocksOf, thingsNamed } from "./text.js";
import { appliesHere, holds, isFitted, isLit, looks, type State, type World } from "./world.js";

/** What is still to be done of a step, one act or mark each; a list of steps is walked through by a frame of its own. */
export type Op =
  | { readonly op: "move" | "take" | "release"; readonly variable: number; readonly to: number; readonly last: boolean }
  | { readonly op: "verify"; readonly moves: readonly (readonly [number, number])[]; readonly last: boolean }
  | { readonly op: "wait"; readonly left: number }
  | { readonly op: "over"; readonly last: boolean }
  | { readonly op: "block"; readonly slot: number }
  | { readonly op: "end"; readonly how: End["how"] }
  | {
      readonly op:
        | "look"
        | "ask"
        | "begin"
        | "until"
        | "again"
        | "body"
        | "mark"
        | "bear"
        | "join"
        | "await"
        | "await-begin";
    };

/** One level of a lane: a list of steps with the place reached in it, or a step under way with what is left of it. */
export type Frame =
  | { readonly steps: readonly Step[]; readonly at: number; readonly id: string; readonly aside: boolean }
  | {
      readonly step: Step | undefined;
      readonly ops: readonly Op[];
      /** A repeat: rounds done (counted only where they matter), and whether an act inside has been. */
      readonly loop?: { readonly round: number; readonly acted: boolean };
      readonly performed?: true;
      readonly leaving?: true;
    };
export type Lane = readonly Frame[];

export interface End {
  readonly how: "good" | "set-aside" | "go-to";
  readonly step: Step | undefined;
}

/** Where a run stands: the world, each lane's place, watches borne, whose pause it is, and the monitor of the question asked. */
export interface Config {
  readonly state: State;
  /** The main line, then the lanes of the `together` that it is in. */
  readonly lanes: readonly Lane[];
  readonly watches: readonly Step[];
  /** The step of the last act; none before the first. */
  readonly last: Step | undefined;
  /** No delayed change or gauge has moved since the last act or tick. */
  readonly fresh: boolean;
  readonly end?: End;
  readonly monitor: Monitor;
}
export type Monitor = readonly (number | string)[];

export interface Moment {
  readonly before: State;
  readonly now: State;
  readonly by: "act" | "tick" | "change" | "gauge" | "failure";
  readonly step: Step | undefined;
  /** For a tick or the first act of a step: stated time in milliseconds, by lane. */
  readonly elapsed: readonly number[];
  readonly lane: number;
  /** What the lane waited for has come. */
  readonly passes?: boolean;
}

/** A question asked of every run. Each answer is the monitor to go on with, or "broken", which ends that search. */
export interface Question {
  start(state: State): Monitor;
  moment(monitor: Monitor, moment: Moment): Monitor | "broken";
  /** A prohibition is borne in mind. */
  borne?(monitor: Monitor, state: State, step: Step): Monitor;
  ended?(monitor: Monitor, config: Config): "broken" | undefined;
  observed?(monitor: Monitor, state: State, step: Step, aside: boolean): Monitor;
  taken?(monitor: Monitor, moment: Moment, variable: number, to: number): Monitor | "broken";
  released?(monitor: Monitor, variable: number): Monitor;
  silently?(monitor: Monitor, elapsed: number, lane: number, lanes: number): Monitor | "broken";
}

/** What the walk tells about as it goes; the question of a rule does not listen. */
export interface Listener {
  note(code: string, step: Step | undefined, thing?: string): void;
  reached(step: Step): void;
  /** A hand has been at a control; `stands`: and found it where it should be. */
  moved(step: Step, stands: boolean): void;
  ifNotTaken(step: Step): void;
  seen(step: Step, condition: Condition, state: State, but: readonly string[]): void;
  handOver(code: "flow/begins", step: Step, begins: readonly Condition[], state: State): void;
}

/** Listens to nothing. */
export const deaf: Listener = {
  note: () => {},
  reached: () => {},
  moved: () => {},
  ifNotTaken: () => {},
  seen: () => {},
  handOver: () => {},
};

export interface Next {
  readonly config: Config;
  /** Moments that this adds to a trace. */
  readonly length: 0 | 1;
  readonly by: Moment["by"] | "silent";
  readonly broken?: Step | undefined | "broken";
  readonly isBroken: boolean;
}

export class Walker {
  readonly #uids = new Map<Step, number>();
  readonly #frameKeys = new WeakMap<Frame, string>();
  readonly world: World;
  readonly question: Question;
  readonly listener: Listener | undefined;

  constructor(world: World, question: Question, listener: Listener | undefined) {
    this.world = world;
    this.question = question;
    this.listener = listener;
  }

  start(state: State): Config {
    const end: Frame = { step: undefined, ops: [{ op: "end", how: "good" }] };
    const main: Lane = [end, { steps: this.world.procedure.steps, at: 0, id: "0", aside: false }];
    return {
      state,
      lanes: [this.#tidy(main)],
      watches: [],
      last: undefined,
      fresh: true,
      monitor: this.question.start(state),
    };
  }

  key(config: Config): string {
    return [
      numberOf(config.state),
      config.lanes.map((lane) => this.laneKey(lane)).join("||"),
      config.watches.map((step) => this.#uid(step)).join(),
      config.last ? this.#uid(config.last) : "-",
      this.question.ended && config.fresh ? "f" : "",
      config.end ? config.end.how + (config.end.step ? this.#uid(config.end.step) : "") : "",
      config.monitor.join(),
    ].join("#");
  }

  laneKey(lane: Lane): string {
    return lane.map((frame) => this.#frameKey(frame)).join(">");
  }

  #frameKey(frame: Frame): string {
    const known = this.#frameKeys.get(frame);
    if (known !== undefined) return known;
    const key =
      "steps" in frame
        ? `${frame.id}@${frame.at}${frame.aside ? "a" : ""}`
        : [
            frame.step ? this.#uid(frame.step) : "-",
            frame.ops.map(opKey).join(" "),
            frame.loop ? `L${frame.loop.round}${frame.loop.acted}` : "",
            (frame.performed ? "P" : "") + (frame.leaving ? "X" : ""),
          ].join(":");
    this.#frameKeys.set(frame, key);
    return key;
  }

  /** Everything that can come next. */
  next(config: Config): Next[] {
    const { world } = this;
    if (config.end && config.end.how !== "good") return [];
    const all = [...this.#pause(config)];
    if (mustFire(world, config.state) || config.end) return all;
    config.lanes.forEach((lane, number) => {
      if (lane.length > 0) all.push(...this.#advance(config, number));
    });
    if (config.lanes.some((lane) => waitLeft(lane) > 0)) all.push(...this.#tick(config));
    return all;
  }

  /** A piece of equipment fails by itself, in the pause; with the watches that tell of it. */
  fail(
    config: Config,
    variable: number,
    to: number,
  ): { readonly nexts: readonly Next[]; readonly told: readonly Step[] } {
    const values = [...config.state.values];
    values[variable] = to;
    const { state } = nextMoment(this.world, config.state, { values });
    const told = config.watches.filter(
      (watch) =>
        watch.kind === "watch" &&
        watch.ifNot.length > 0 &&
        holds(this.world, config.state, watch.condition) &&
        !holds(this.world, state, watch.condition),
    );
    const how = { by: "failure", step: config.last, lane: 0, fresh: false } as const;
    return { nexts: this.#moment(config, config.lanes, { values }, how), told };
  }

  /** The wait, or the move of a held control, that the lane stands at and that does not end by itself. */
  waitingAt(config: Config, number: number): Step | undefined {
    const top = config.lanes[number]!.at(-1);
    if (!top || config.end) return undefined;
    if ("steps" in top) return this.#blockedStart(config, number, top.steps[top.at]!);
    const op = top.ops[0];
    if (op?.op === "await")
      return top.step?.kind === "wait-for" && top.step.within === undefined ? top.step : undefined;
    if ((op?.op === "move" || op?.op === "take") && this.#heldByOther(config, number, op.variable, op.to))
      return top.step;
    return undefined;
  }

  /** Whether what the lane stands at can go on now: the condition waited for holds, or nobody else holds the control. */
  canGoOn(config: Config, number: number): boolean {
    const top = config.lanes[number]!.at(-1);
    if (top && "ops" in top && top.ops[0]?.op === "await" && top.step?.kind === "wait-for")
      return looks(this.world, config.state, top.step.condition).some(({ truth }) => truth);
    return this.waitingAt(config, number) === undefined;
  }

  #blockedStart(config: Config, number: number, step: Step): Step | undefined {
    if (step.kind !== "set" && step.kind !== "hold" && step.kind !== "press") return undefined;
    const plans = this.#plans(step);
    const stuck = plans.every((frame) => {
      const op = frame && "ops" in frame ? frame.ops[0] : undefined;
      return (op?.op === "move" || op?.op === "take") && this.#heldByOther(config, number, op.variable, op.to);
    });
    return plans.length > 0 && stuck ? step : undefined;
  }

  *#pause(config: Config): Generator<Next> {
    const { world } = this;
    for (const [index, change] of world.delayed.entries()) {
      if (!mayFire(world, config.state, index)) continue;
      const values = [...config.state.values];
      values[change.variable] = change.to;
      yield* this.#moment(
        config,
        config.lanes,
        { values, fired: index },
        { by: "change", step: config.last, lane: 0, fresh: false },
      );
    }
    for (const [id, { family, place }] of world.gauge) {
      const gauge = world.system.gauges.get(id)!;
      if (!isFitted(world.tail, gauge)) continue;
      const free = gauge.moves !== undefined && holds(world, config.state, gauge.moves);
      if (!free && !config.lanes.some((lane) => lane.some((frame) => movesInside(frame, id)))) continue;
      for (const readings of movesOf(world.families[family]!, config.state.gauges[family]!, place)) {
        const gauges = config.state.gauges.map((old, index) => (index === family ? readings : old));
        yield* this.#moment(
          config,
          config.lanes,
          { gauges, movedGauge: id },
          { by: "gauge", step: config.last, lane: 0, fresh: false },
        );
      }
    }
  }

  #tick(config: Config): Next[] {
    const elapsed = config.lanes.map((lane) => (waitLeft(lane) > 0 ? this.world.tick : 0));
    const lanes = config.lanes.map((lane) => {
      const left = waitLeft(lane);
      if (left === 0) return lane;
      return replaceTop(lane, (frame) => ({ ...frame, ops: [{ op: "wait", left: left - 1 }, ...frame.ops.slice(1)] }));
    });
    return this.#moment(
      config,
      lanes.map((lane) => this.#tidy(lane)),
      { tick: true },
      {
        by: "tick",
        step: config.last,
        lane: 0,
        fresh: true,
        elapsed,
      },
    );
  }

  /** One lane's next act, in every way in which it can go. */
  #advance(config: Config, number: number): Next[] {
    const lane = config.lanes[number]!;
    const top = lane.at(-1)!;
    if (!("steps" in top)) return this.#run(config, number, lane, 0);
    const step = top.steps[top.at]!;
    const below: Lane = [...lane.slice(0, -1), { ...top, at: top.at + 1 }];
    const elapsed = step.takes + (step.kind === "wait-for" ? (step.within ?? Infinity) : 0);
    if (this.#isAbsent(step)) return this.#silent(config, number, below, 0);
    if (!this.#mayBegin(config, step)) return [];
    if (step.kind === "finish" || step.kind === "set-aside" || step.kind === "go-to")
      return this.#leave(config, number, step, elapsed);
    if (step.kind === "together") return this.#split(config, number, below, step, elapsed);
    return this.#plans(step).flatMap((frame) => {
      const stack = frame ? [...below, frame] : below;
      const op = frame && "ops" in frame ? frame.ops[0] : undefined;
      const acts = op && !["block", "body"].includes(op.op);
      return acts ? this.#run(config, number, stack, elapsed) : this.#silent(config, number, stack, elapsed);
    });
  }

  /** Whether the state has what the step that the lane has come to needs; where not, the step does not begin. */
  #mayBegin(config: Config, step: Step): boolean {
    this.listener?.reached(step);
    if (step.needs && !holds(this.world, config.state, step.needs)) {
      this.listener?.note("flow/needs", step);
      if (!this.#allowed("flow/needs", step)) return false;
    }
    if (step.kind !== "perform") return true;
    this.listener?.handOver("flow/begins", step, step.begins, config.state);
    const begun = step.begins.every((begin) => holds(this.world, config.state, begin));
    return begun || this.#allowed("flow/begins", step);
  }

  /** A step on things that this ship does not have is not there: neither needed nor done. */
  #isAbsent(step: Step): boolean {
    const fitted = (id: string) => this.world.variables[this.world.index.get(id)!]!.fitted;
    if (step.kind === "ask") return !fitted(`outside:${step.outside}`);
    if (step.kind !== "set" && step.kind !== "verify" && step.kind !== "press" && step.kind !== "hold") return false;
    return !step.moves.some((move) => move.controls.some((control) => fitted(`control:${control}`)));
  }

  /** What a step will do, in each way that the crew may choose; none where it is not there. */
  #plans(step: Step): (Frame | undefined)[] {
    const mark: Op[] = this.#asks(step) ? [{ op: "mark" }] : [];
    const plan = (ops: Op[], more: object = {}): Frame[] => [{ step, ops, ...more }];
    switch (step.kind) {
      case "set":
        return this.#choices(step.moves).map((moves) =>
          moves.length === 0
            ? undefined
            : { step, ops: lastOf(moves.flat().map(([variable, to]) => ({ op: "move", variable, to, last: false }))) },
        );
      case "verify":
        return this.#choices(step.moves).map((lines) => {
          const groups = step.atOnce ? [lines.flat()] : lines;
          const ops: Op[] = groups
            .filter((moves) => moves.length > 0)
            .map((moves) => ({ op: "verify", moves, last: false }));
          return ops.length === 0 ? undefined : { step, ops: lastOf(ops) };
        });
      case "press":
      case "hold":
        return this.#choices(step.moves).map((lines) => {
          const moves = lines.flat();
          if (moves.length === 0) return undefined;
          const take: Op[] = moves.map(([variable, to]) => ({ op: "take", variable, to, last: false }));
          const release: Op[] = moves.map(([variable, to]) => ({
            op: "release",
            variable,
            to: this.world.springs.get(variable)?.get(to) ?? to,
            last: false,
          }));
          if (step.kind === "press")
            return { step, ops: lastOf(Array.from({ length: step.times }, () => [...take, ...release]).flat()) };
          const inner: Op[] = step.steps.length > 0 ? [{ op: "block", slot: 0 }] : [];
          const time: Op[] =
            step.for && !step.for.upTo
              ? [
                  { op: "begin" },
                  { op: "wait", left: step.for.milliseconds / this.world.tick },
                  { op: "over", last: false },
                ]
              : [];
          const ops = [...take, ...inner, ...time, ...release];
          return { step, ops: inner.length > 0 ? [...ops, ...mark] : lastOf(ops) };
        });
      case "check":
        return plan([{ op: "look" }]);
      case "observe":
        return step.lights.length === 0 ? [undefined] : plan([{ op: "look" }]);
      case "wait":
        return plan([
          { op: "begin" },
          { op: "wait", left: step.milliseconds / this.world.tick },
          { op: "over", last: true },
        ]);
      case "wait-for":
        return plan([
          { op: "await-begin" },
          ...(step.steps.length > 0 ? [{ op: "block", slot: 0 } as const] : []),
          { op: "await" },
        ]);
      case "if":
      case "decide":
        return plan([{ op: "look" }, ...mark]);
      case "choose":
        return step.options.map((_, slot) => ({ step, ops: [{ op: "block", slot }, ...mark] }));
      case "repeat":
        return plan([{ op: "body" }, { op: step.until ? "until" : "again" }], { loop: { round: 0, acted: false } });
      case "ask":
        return this.world.variables[this.world.index.get(`outside:${step.outside}`)!]!.fitted
          ? plan([{ op: "ask" }])
          : [undefined];
      case "perform":
        return plan([{ op: "block", slot: 0 }, ...mark], step.target.kind === "procedure" ? { performed: true } : {});
      case "section":
      case "memory":
        return plan([{ op: "block", slot: 0 }, ...mark]);
      case "prohibit":
      case "watch":
        return plan([{ op: "bear" }, ...mark]);
      case "record": {
        const asked = mark.length > 0 || this.world.recordedAsked.includes(step.gauge);
        return asked ? plan([{ op: "mark" }]) : [undefined];
      }
      default:
        return mark.length > 0 ? plan(mark) : [undefined];
    }
  }

  /** Runs what the top frame has first. */
  #run(config: Config, number: number, lane: Lane, elapsed: number): Next[] {
    const frame = lane.at(-1)!;
    if ("steps" in frame) throw new Error("a step that has not begun");
    const { step } = frame;
    const op = frame.ops[0]!;
    const rest: Lane = [...lane.slice(0, -1), { ...frame, ops: frame.ops.slice(1) }];
    const go = (act: Act, stack: Lane = rest, done = false): Next[] =>
      this.#act(config, number, stack, { ...act, ...(done && step ? { done: [step.name] } : {}) }, step, elapsed, op);
    switch (op.op) {
      case "move":
      case "take":
        if (this.#heldByOther(config, number, op.variable, op.to)) {
          this.listener?.note("lanes/held", step, this.world.variables[op.variable]!.id);
          return [];
        }
        return go(this.#handle(config, number, op, step), rest, op.last);
      case "release": {
        const held = [...config.state.held];
        held[op.variable] = -1;
        const values = [...config.state.values];
        values[op.variable] = op.to;
        return go({ values, held, learn: [this.#thing(op.variable)] }, rest, op.last);
      }
      case "verify": {
        const wrong = op.moves.filter(([variable, to]) => config.state.values[variable] !== to);
        const sets: Op[] = wrong.map(([variable, to]) => ({ op: "move", variable, to, last: false }));
        const ops = op.last ? lastOf(sets) : sets;
        const stack: Lane = [...lane.slice(0, -1), { ...frame, ops: [...ops, ...frame.ops.slice(1)] }];
        return go({ learn: op.moves.map(([variable]) => this.#thing(variable)) }, stack, op.last && wrong.length === 0);
      }
      case "ask": {
        if (step?.kind !== "ask") throw new Error("ask");
        const variable = this.world.index.get(`outside:${step.outside}`)!;
        const values = [...config.state.values];
        values[variable] = this.world.variables[variable]!.domain.indexOf(step.state);
        return go({ values, learn: [`outside:${step.outside}`] }, rest, true);
      }
      case "begin":
      case "await-begin":
        return go({});
      case "wait":
        return [];
      case "over":
        return go({}, rest, op.last);
      case "mark":
        return go(step?.kind === "record" ? { recorded: step.gauge } : {}, rest, true);
      case "look":
        return this.#look(config, lane, go);
      case "until":
        return this.#until(config, lane, go);
      case "await":
        return this.#await(config, lane, go);
      case "body":
        return this.#silent(config, number, [...rest, this.#block(step!, 0, lane)], elapsed);
      case "again":
        return this.#silent(config, number, this.#nextRound(lane), elapsed);
      case "bear":
        return this.#bear(config, number, rest, step!, elapsed);
      case "block":
        return this.#silent(config, number, [...rest, this.#block(step!, op.slot, lane)], elapsed);
      case "join":
        if (config.lanes.slice(1).some((other) => other.length > 0)) return [];
        return this.#silent({ ...config, lanes: [rest] }, 0, rest, 0);
      case "end": {
        const end: End = { how: op.how, step };
        const ended: Config = { ...config, lanes: [], end };
        if (op.how === "go-to" && step?.kind === "go-to")
          this.listener?.handOver(
            "flow/begins",
            step,
            this.world.program.procedures.get(step.procedure)?.begins ?? [],
            config.state,
          );
        const broken = this.question.ended?.(config.monitor, ended) === "broken";
        return [{ config: ended, length: 0, by: "silent", isBroken: broken, broken: step }];
      }
    }
  }

  #look(config: Config, lane: Lane, go: (act: Act, stack: Lane, done?: boolean) => Next[]): Next[] {
    const frame = lane.at(-1)!;
    if ("steps" in frame || !frame.step) throw new Error("look");
    const { step, ops } = frame;
    const below = lane.slice(0, -1);
    const into = (slot: number, rest: readonly Op[]): Lane => [
      ...below,
      { ...frame, ops: [{ op: "block", slot }, ...rest] },
    ];
    const passed: Lane = [...below, { ...frame, ops: [] }];
    const mark: Op[] = this.#asks(step) ? [{ op: "mark" }] : [];
    const { world, listener } = this;
    switch (step.kind) {
      case "if": {
        listener?.seen(step, step.condition, config.state, []);
        return looks(world, config.state, step.condition).flatMap(({ truth, timed }) =>
          go({ learn: thingsNamed(step.condition), timed }, into(truth ? 0 : 1, ops.slice(1))),
        );
      }
      case "check": {
        const learn = thingsNamed(step.condition);
        if (this.lightsAlone(step.condition)) {
          this.#assert(step, step.condition, config.state, true);
          return [...go({ learn }, passed, true), ...go({ learn }, into(0, mark))];
        }
        listener?.seen(step, step.condition, config.state, []);
        return looks(world, config.state, step.condition).flatMap(({ truth, timed }) => {
          if (truth) return go({ learn, timed }, passed, true);
          listener?.ifNotTaken(step);
          return go({ learn, timed }, into(0, mark));
        });
      }
      case "decide": {
        const learn = step.ways.flatMap((way) => (way.condition ? thingsNamed(way.condition) : []));
        for (const way of step.ways) if (way.condition) listener?.seen(step, way.condition, config.state, []);
        return this.#ways(
          config,
          step.ways.map((way) => way.condition),
        ).flatMap(({ slot, timed }) => {
          if (slot < 0) listener?.note("flow/gap", step);
          return slot < 0 ? [] : go({ learn: decideLooks ? learn : [], timed }, into(slot, ops.slice(1)));
        });
      }
      case "observe": {
        const learn = [
          ...step.lights.map((light) => `light:${light}`),
          ...step.lit.flatMap((light) => (light.when ? thingsNamed(light.when) : [])),
        ];
        this.#judge(step, config.state);
        return [...go({ learn }, passed, true), ...step.ifNot.flatMap((_, slot) => go({ learn }, into(slot, mark)))];
      }
      default:
        throw new Error(`no look in ${step.kind}`);
    }
  }

  /** The ways of a decide that may be taken: the first that fits, by each reading of its clocks. */
  #ways(
    config: Config,
    conditions: readonly (Condition | undefined)[],
    slot = 0,
  ): { slot: number; timed: ReadonlyMap<number, number> }[] {
    if (slot === conditions.length) return [{ slot: -1, timed: new Map() }];
    const condition = conditions[slot];
    if (!condition) return [{ slot, timed: new Map() }];
    return looks(this.world, config.state, condition).flatMap(({ truth, timed }) =>
      truth ? [{ slot, timed }] : this.#ways(config, conditions, slot + 1),
    );
  }

  #until(config: Config, lane: Lane, go: (act: Act, stack: Lane, done?: boolean) => Next[]): Next[] {
    const frame = lane.at(-1)!;
    if ("steps" in frame || frame.step?.kind !== "repeat" || !frame.step.until) throw new Error("until");
    const { until } = frame.step;
    this.listener?.seen(frame.step, until, config.state, []);
    return looks(this.world, config.state, until).flatMap(({ truth, timed }) =>
      go({ learn: thingsNamed(until), timed }, truth ? this.#leaveLoop(lane) : this.#nextRound(lane)),
    );
  }

  #leaveLoop(lane: Lane): Lane {
    const frame = lane.at(-1)!;
    if ("steps" in frame || !frame.step) throw new Error("loop");
    return [...lane.slice(0, -1), { step: frame.step, ops: this.#asks(frame.step) ? [{ op: "mark" }] : [] }];
  }

  #nextRound(lane: Lane): Lane {
    const frame = lane.at(-1)!;
    if ("steps" in frame || frame.step?.kind !== "repeat" || !frame.loop) throw new Error("loop");
    const { step, loop } = frame;
    const round = step.times === undefined ? 0 : loop.round + 1;
    if (step.times !== undefined && round >= step.times) return this.#leaveLoop(lane);
    const every: Op[] = step.every
      ? [{ op: "begin" }, { op: "wait", left: step.every / this.world.tick }, { op: "over", last: false }]
      : [];
    const ops: Op[] = [...every, { op: "body" }, { op: step.until ? "until" : "again" }];
    return [...lane.slice(0, -1), { ...frame, ops, loop: { ...loop, round } }];
  }

  #await(config: Config, lane: Lane, go: (act: Act, stack: Lane, done?: boolean) => Next[]): Next[] {
    const frame = lane.at(-1)!;
    if ("steps" in frame || frame.step?.kind !== "wait-for") throw new Error("await");
    const { step } = frame;
    this.listener?.seen(step, step.condition, config.state, []);
    const mark: Op[] = this.#asks(step) ? [{ op: "mark" }] : [];
    const inner = step.steps.length > 0;
    const passed: Lane = [...lane.slice(0, -1), { ...frame, ops: inner ? mark : [] }];
    const failed: Lane = [...lane.slice(0, -1), { ...frame, ops: [{ op: "block", slot: 1 }, ...mark] }];
    const learn = waitLooks ? thingsNamed(step.condition) : [];
    return looks(this.world, config.state, step.condition).flatMap(({ truth, timed }) => {
      if (truth) return go({ learn, timed, passes: true }, passed, !inner);
      return step.within === undefined ? [] : go({ learn }, failed);
    });
  }

  #bear(config: Config, number: number, rest: Lane, step: Step, elapsed: number): Next[] {
    if (step.kind === "watch") {
      const watches = config.watches.includes(step) ? config.watches : [...config.watches, step];
      return this.#silent({ ...config, watches }, number, rest, elapsed);
    }
    if (step.kind === "prohibit" && holds(this.world, config.state, step.condition))
      this.listener?.note("prohibit/already-so", step);
    const monitor = this.question.borne?.(config.monitor, config.state, step) ?? config.monitor;
    return this.#silent({ ...config, monitor }, number, rest, elapsed);
  }

  #split(config: Config, number: number, below: Lane, step: Step, elapsed: number): Next[] {
    if (step.kind !== "together" || number !== 0) throw new Error("lanes do not nest");
    const ops: Op[] = [{ op: "join" }, ...(this.#asks(step) ? [{ op: "mark" } as const] : [])];
    const main: Lane = [...below, { step, ops }];
    const lanes = step.lanes.map((_, slot) => this.#tidy([this.#block(step, slot, below)]));
    return this.#silent({ ...config, lanes: [main, ...lanes] }, 0, main, elapsed);
  }

  /** Leaves early: what is held is let go first, the lane's own before the other's, the innermost first. */
  #leave(config: Config, number: number, step: Step, elapsed: number): Next[] {
    const good = step.kind === "finish";
    const own = config.lanes[number]!;
    const mark: Op[] = this.#asks(step) ? [{ op: "mark" }] : [];
    const inOwn = good ? lastPerformed(own) : -1;
    const inMain = good && inOwn < 0 && number > 0 ? lastPerformed(config.lanes[0]!) : -1;
    const others = config.lanes.filter((_, index) => index !== number && index > 0);
    const releases = (frames: Lane): Frame[] =>
      frames.flatMap((frame) => ("steps" in frame ? [] : this.#releases(config, frame)));
    if (inOwn >= 0) {
      const back: Lane = [...own.slice(0, inOwn + 1), ...this.#ending(step, mark), ...releases(own.slice(inOwn + 1))];
      return this.#silent(config, number, back, elapsed);
    }
    const main = config.lanes[0]!;
    const held =
      number > 0 ? [...releases(main.slice(inMain + 1)), ...others.flatMap(releases), ...releases(own)] : releases(own);
    const end: Op = { op: "end", how: good ? "good" : step.kind === "go-to" ? "go-to" : "set-aside" };
    const bottom: Lane =
      inMain >= 0
        ? [...main.slice(0, inMain + 1), ...this.#ending(step, mark)]
        : [{ step, ops: [...mark, end], leaving: true }];
    const stack: Lane = [...bottom, ...held];
    return this.#silent({ ...config, lanes: [stack] }, 0, stack, elapsed);
  }

  #ending(step: Step, mark: readonly Op[]): Frame[] {
    return mark.length > 0 ? [{ step, ops: mark }] : [];
  }

  /** The controls of a frame that are still held, to be let go in written order. */
  #releases(config: Config, frame: Extract<Frame, { ops: readonly Op[] }>): Frame[] {
    const seen = new Set<number>();
    const ops = frame.ops.filter((op) => {
      if (op.op !== "release" || config.state.held[op.variable]! < 0 || seen.has(op.variable)) return false;
      seen.add(op.variable);
      return true;
    });
    return ops.length > 0
      ? [{ step: frame.step, ops: ops.map((op) => ({ ...op, last: false }) as Op), leaving: true }]
      : [];
  }

  #act(config: Config, number: number, stack: Lane, act: Act, step: Step | undefined, elapsed: number, op: Op): Next[] {
    const lanes = config.lanes.map((lane, index) =>
      index === number ? this.#tidy(markLoops(stack)) : index === 0 ? markLoops(lane) : lane,
    );
    const spent = lanes.map((_, index) => (index === number ? elapsed : 0));
    let monitor = config.monitor;
    if (op.op === "look" && step?.kind === "observe" && this.question.observed)
      monitor = this.question.observed(
        monitor,
        config.state,
        step,
        config.lanes[number]!.some((frame) => "steps" in frame && frame.aside),
      );
    return this.#moment({ ...config, monitor }, lanes, act, {
      by: "act",
      step,
      lane: number,
      fresh: true,
      elapsed: spent,
      op,
    });
  }

  /** Makes the moment, asks the question, and lets watches be answered. */
  #moment(
    config: Config,
    lanes: readonly Lane[],
    act: Act,
    how: {
      by: Moment["by"];
      step: Step | undefined;
      lane: number;
      fresh: boolean;
      elapsed?: readonly number[];
      op?: Op;
    },
  ): Next[] {
    const { state, settled } = nextMoment(this.world, config.state, act);
    this.#tellSettling(settled, how.step);
    if (settled.never) return [];
    const ceased = config.watches.filter(
      (watch) =>
        watch.kind === "watch" &&
        holds(this.world, config.state, watch.condition) &&
        !holds(this.world, state, watch.condition),
    );
    const moment: Moment = {
      before: config.state,
      now: state,
      by: how.by,
      step: how.step,
      lane: how.lane,
      elapsed: how.elapsed ?? [],
      ...(act.passes ? { passes: true } : {}),
    };
    let monitor = this.question.moment(config.monitor, moment);
    if (monitor !== "broken" && how.op?.op === "take" && this.question.taken)
      monitor = this.question.taken(monitor, moment, how.op.variable, how.op.to);
    if (monitor !== "broken" && how.op?.op === "release" && this.question.released)
      monitor = this.question.released(monitor, how.op.variable);
    const length = how.by === "tick" ? 0 : 1;
    const base = { ...config, state, lanes, last: how.step, fresh: how.fresh };
    if (monitor === "broken") return [{ config: base, length, by: how.by, isBroken: true, broken: how.step }];
    const plain: Config = { ...base, monitor };
    const found: Next[] = [{ config: plain, length, by: how.by, isBroken: false }];
    if (config.end || lanes.some((lane) => lane.some((frame) => "leaving" in frame && frame.leaving))) return found;
    const joined = lanes.slice(1).every((lane) => lane.length === 0);
    for (const watch of ceased)
      lanes.forEach((lane, index) => {
        if (index === 0 ? !joined : lane.length === 0) return;
        const stack = this.#tidy([
          ...lane,
          { steps: blocksOf(watch)[0]!, at: 0, id: `w${this.#uid(watch)}`, aside: true },
        ]);
        found.push({
          config: { ...plain, lanes: lanes.map((other, place) => (place === index ? stack : other)) },
          length,
          by: how.by,
          isBroken: false,
        });
      });
    return found;
  }

  #silent(config: Config, number: number, stack: Lane, elapsed: number): Next[] {
    const lanes = config.lanes.map((lane, index) => (index === number ? this.#tidy(stack) : lane));
    const monitor = this.question.silently?.(config.monitor, elapsed, number, config.lanes.length) ?? config.monitor;
    if (monitor === "broken") return [{ config, length: 0, by: "silent", isBroken: true, broken: config.last }];
    return [{ config: { ...config, lanes, monitor }, length: 0, by: "silent", isBroken: false }];
  }

  #tellSettling(settled: Settled, step: Step | undefined): void {
    for (const variable of settled.conflicts)
      this.listener?.note("system/conflict", step, this.world.variables[variable]!.id);
    if (settled.race) this.listener?.note("system/race", step);
    if (settled.never) this.listener?.note("system/never-settles", step);
  }

  /** Moves a control; under a closed guard as if that had been opened, and closing a guard moves what is under it. */
  #handle(
    config: Config,
    number: number,
    op: Extract<Op, { op: "move" | "take" | "release" }>,
    step: Step | undefined,
  ): Act {
    const { world } = this;
    const values = [...config.state.values];
    const learn = [this.#thing(op.variable)];
    const over = world.guardOf.get(op.variable);
    if (over !== undefined && values[over] === world.guards.get(over)!.closed && op.to !== world.guards.get(over)!.at) {
      this.listener?.note("guard/closed", step, world.variables[op.variable]!.id);
      values[over] = world.guards.get(over)!.open;
      learn.push(this.#thing(over));
    }
    values[op.variable] = op.to;
    const guard = world.guards.get(op.variable);
    if (guard && op.to === guard.closed) {
      values[guard.over] = guard.at;
      learn.push(this.#thing(guard.over));
    }
    if (step) this.listener?.moved(step, values.join() === config.state.values.join());
    const held = [...config.state.held];
    if (op.op === "take") held[op.variable] = number;
    return { values, learn, held };
  }

  #heldByOther(config: Config, number: number, variable: number, to: number): boolean {
    const guard = this.world.guards.get(variable);
    const moved = guard && to === guard.closed ? [variable, guard.over] : [variable];
    return moved.some((each) => config.state.held[each]! >= 0 && config.state.held[each] !== number);
  }

  #thing(variable: number): string {
    const { kind, id } = this.world.variables[variable]!;
    return `${kind}:${id}`;
  }

  /** For each way of choosing sides: the moves, line by line. Controls that are not fitted are passed over. */
  #choices(moves: readonly Move[]): (readonly (readonly [number, number])[])[][] {
    let all: (readonly (readonly [number, number])[])[][] = [[]];
    for (const move of moves) {
      const pairs = move.controls
        .map((id) => this.world.index.get(`control:${id}`)!)
        .filter((variable) => this.world.variables[variable]!.fitted)
        .map((variable) => [variable, this.world.variables[variable]!.domain.indexOf(move.position)] as const);
      if (pairs.length === 0) continue;
      const options = move.choice === "each" ? [pairs] : pairs.map((pair) => [pair]);
      all = all.flatMap((lines) => options.map((option) => [...lines, option]));
    }
    return all;
  }

  /** A check of lights alone, all with logic, is an observation of them. */
  lightsAlone(c: Condition): boolean {
    if (c.kind === "and" || c.kind === "or")
      return c.of.every(
        (part) =>
          part.kind === "fitted" || (part.kind === "not" && part.of.kind === "fitted") || this.lightsAlone(part),
      );
    if (c.kind === "not") return this.lightsAlone(c.of);
    if (c.kind !== "light") return false;
    const light = this.world.system.lights.get(c.light)!;
    return light.litWhen !== undefined || light.flashingWhen !== undefined;
  }

  /** Tells of each light that is other than the asserted condition wants it, where the condition fails. */
  #assert(step: Step, c: Condition, state: State, wanted: boolean): void {
    if (c.kind === "not") this.#assert(step, c.of, state, !wanted);
    if (holds(this.world, state, c) === wanted) return;
    if (c.kind === "and" || c.kind === "or") for (const part of c.of) this.#assert(step, part, state, wanted);
    if (c.kind !== "light") return;
    const wantsLit = ((c.state !== "out") !== c.negated) === wanted;
    this.listener?.note(wantsLit ? "observe/missing" : "observe/surplus", step, c.light);
  }

  /** Missing and surplus lights, and the count of each colour where the list is right. */
  #judge(step: Step, state: State): void {
    if (step.kind !== "observe" || !this.listener) return;
    const { world } = this;
    let right = true;
    const lit: string[] = [];
    for (const id of step.lights) {
      const light = world.system.lights.get(id)!;
      if (!isFitted(world.tail, light)) continue;
      const listed = step.lit.some((each) => each.light === id && (!each.when || holds(world, state, each.when)));
      const hasLogic = light.litWhen !== undefined || light.flashingWhen !== undefined;
      const is = hasLogic ? isLit(world, state, light) : listed;
      if (is) lit.push(id);
      if (is === listed) continue;
      right = false;
      this.listener.note(listed ? "observe/missing" : "observe/surplus", step, id);
    }
    for (const each of step.lit) if (each.when) this.listener.seen(step, each.when, state, step.lights);
    if (!right) return;
    for (const [colour, expected] of step.count) {
      const number = lit.filter((id) => {
        const light = world.system.lights.get(id)!;
        return !light.sound && light.colour === colour;
      }).length;
      if (number !== expected) this.listener.note("observe/count", step, colour);
    }
  }

  #asks(step: Step): boolean {
    return this.world.doneAsked.includes(step.name);
  }

  #allowed(code: string, step: Step): boolean {
    return this.world.procedure.allows.some(
      (allow) => allow.code === code && (!allow.step || allow.step === step.name),
    );
  }

  #block(step: Step, slot: number, lane: Lane): Frame {
    const inAside = lane.some((frame) => "steps" in frame && frame.aside);
    const ifNot =
      step.kind === "observe" ||
      step.kind === "watch" ||
      step.kind === "check" ||
      (step.kind === "wait-for" && slot === 1);
    return { steps: blocksOf(step)[slot]!, at: 0, id: `${this.#uid(step)}.${slot}`, aside: inAside || ifNot };
  }

  /** Drops what is finished, steps that are not there, and waits that are over, so that equal places look equal. */
  #tidy(lane: Lane): Lane {
    let stack = lane;
    for (;;) {
      const top = stack.at(-1);
      if (!top) return stack;
      if ("steps" in top) {
        const step = top.steps[top.at];
        if (!step) stack = stack.slice(0, -1);
        else if (!appliesHere(this.world, step)) stack = [...stack.slice(0, -1), { ...top, at: top.at + 1 }];
        else return stack;
        continue;
      }
      const op = top.ops[0];
      if (!op) stack = stack.slice(0, -1);
      else if (op.op === "wait" && op.left <= 0) stack = [...stack.slice(0, -1), { ...top, ops: top.ops.slice(1) }];
      else if (op.op === "block")
        stack = [...stack.slice(0, -1), { ...top, ops: top.ops.slice(1) }, this.#block(top.step!, op.slot, stack)];
      else return stack;
    }
  }

  #uid(step: Step): number {
    const known = this.#uids.get(step);
    if (known !== undefined) return known;
    this.#uids.set(step, this.#uids.size + 1);
    return this.#uids.size;
  }
}

/** By the letter of the page on `checked`, check, verify, `if`, `until` and observe look; these two do not. */
const decideLooks = false;
const waitLooks = false;

function opKey(op: Op): string {
  switch (op.op) {
    case "move":
    case "take":
    case "release":
      return `${op.op}${op.variable}=${op.to}${op.last ? "!" : ""}`;
    case "verify":
      return `v${op.moves.join("+")}${op.last ? "!" : ""}`;
    case "wait":
      return `w${op.left}`;
    case "block":
      return `b${op.slot}`;
    case "end":
      return `e${op.how}`;
    default:
      return op.op;
  }
}

function lastOf(ops: readonly Op[]): Op[] {
  return ops.map((op, index) => (index === ops.length - 1 && "last" in op ? { ...op, last: true } : op));
}

function waitLeft(lane: Lane): number {
  const top = lane.at(-1);
  const op = top && "ops" in top ? top.ops[0] : undefined;
  return op?.op === "wait" ? op.left : 0;
}

function replaceTop(lane: Lane, change: (frame: Extract<Frame, { ops: readonly Op[] }>) => Frame): Lane {
  const top = lane.at(-1)!;
  return "steps" in top ? lane : [...lane.slice(0, -1), change(top)];
}

function movesInside(frame: Frame, gauge: string): boolean {
  return (
    "loop" in frame && frame.loop?.acted === true && frame.step?.kind === "repeat" && frame.step.moves.includes(gauge)
  );
}

/** Every loop around the act has now had an act inside it. */
function markLoops(lane: Lane): Lane {
  return lane.map((frame) =>
    "loop" in frame && frame.loop && frame.step?.kind === "repeat" && frame.step.moves.length > 0
      ? { ...frame, loop: { ...frame.loop, acted: true } }
      : frame,
  );
}

function lastPerformed(lane: Lane): number {
  return lane.findLastIndex((frame) => "performed" in frame && frame.performed);
}
