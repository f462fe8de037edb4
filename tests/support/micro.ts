import type { Condition } from "../../src/program/condition.js";
import type { Move, Option, Procedure, Step, StepCommon, Verb } from "../../src/program/procedure.js";
import type { Program } from "../../src/program/program.js";
import type { Rule, RuleForm } from "../../src/program/rule.js";
import type {
  Change,
  Colour,
  Control,
  Duty,
  Equipment,
  Fit,
  Gauge,
  Group,
  Light,
  LightSet,
  NamedCondition,
  Outside,
  System,
  Tail,
  Thing,
} from "../../src/program/system.js";
import type { Span } from "../../src/source/file.js";
import { condition, membersOf, nowhere, quantity } from "./conditions.js";

/** A step before its world is known. */
export type Draft = (place: Place) => Verb & Partial<StepCommon>;
interface Place {
  readonly system: System;
  readonly procedures: ReadonlyMap<string, ProcedureText>;
  /** Numbers the inner steps. */
  readonly inner: (drafts: readonly Draft[], slot: string) => Step[];
}

export interface ProcedureText {
  readonly steps: readonly Draft[];
  readonly begins?: readonly string[];
  readonly ends?: readonly string[];
  readonly covers?: readonly string[];
  readonly next?: string;
  readonly category?: string;
  readonly allows?: readonly { readonly code: string; readonly step?: string }[];
}

export interface Micro {
  readonly program: Program;
  readonly procedure: Procedure;
  readonly system: System;
}

/**
 * A small world and the card `p` to be walked through it. The lines of `text` declare things in the shorthand of the
 * micro-programs:
 *
 *     ctl t: rest fire, springs fire>rest, duty 15/45/3      ctl bat: off on, guard on      ctl p.left: off on
 *     eq e: x y; x>y when C; x>y takes 20..60                sig dc: no yes                 condition dc: m is on
 *     light amber l: C; flashing C; latched-until C; cancelled-by C        light u          sound bell: C
 *     gauge q: 0 to 100, moves true                          lights panel: l mc             group g: a b
 *     fit tank: yes no          fleet A: tank=yes            rule r: never C                (see `rule`)
 *
 * A control, light or piece of equipment may end in `, fitted C`; one of equipment or outside in `, hidden` (not shown).
 */
export function micro(
  text: string,
  procedure: ProcedureText,
  others: Readonly<Record<string, ProcedureText>> = {},
): Micro {
  const system = declare(text);
  const rules = lines(text, "rule").map((line) => rule(system, line));
  const texts = new Map<string, ProcedureText>([["p", procedure], ...Object.entries(others)]);
  const procedures = new Map([...texts].map(([id, one]) => [id, build(system, texts, id, one)]));
  const program: Program = {
    project: {
      title: "Micro",
      categories: [],
      stepTakes: 0,
      severities: new Map(),
      cards: { paper: "A5", profile: "arm-length" },
    },
    systems: new Map([[system.id, system]]),
    rules,
    procedures,
  };
  return { program, procedure: procedures.get("p")!, system };
}

function build(system: System, texts: ReadonlyMap<string, ProcedureText>, id: string, text: ProcedureText): Procedure {
  const read = (each: string) => condition(system, each);
  return {
    id,
    system: system.id,
    title: id,
    category: text.category ?? "normal",
    readAs: ["read-and-do"],
    crew: new Map(),
    omits: [],
    begins: (text.begins ?? []).map(read),
    ends: (text.ends ?? []).map(read),
    covers: (text.covers ?? []).map((set) => ({ set, span: nowhere })),
    ...(text.next ? { next: { procedure: text.next, span: nowhere } } : {}),
    steps: stepsOf(system, texts, text.steps, ""),
    allows: (text.allows ?? []).map((allow) => ({ ...allow, because: "a test", span: nowhere })),
    span: spanAt(0),
  };
}

/** Numbers drafts in the order of the text: `1`, `2`, and inside the second `2.then.1`. */
function stepsOf(
  system: System,
  procedures: ReadonlyMap<string, ProcedureText>,
  drafts: readonly Draft[],
  prefix: string,
): Step[] {
  return drafts.map((draft, index) => {
    const number = `${prefix}${index + 1}`;
    const span = spanAt(++offset * 10);
    const verb = draft({
      system,
      procedures,
      inner: (inner, slot) => stepsOf(system, procedures, inner, slot.endsWith(":") ? slot : `${number}.${slot}.`),
    });
    const common: StepCommon = { name: verb.id ?? number, number, span, verb: span, by: [], takes: 0, critical: false };
    return { ...common, ...verb, ...(verb.id && prefix.endsWith(":") ? { name: prefix + verb.id } : {}) };
  });
}

let offset = 0;
function spanAt(start: number): Span {
  return { file: nowhere.file, start, end: start + 5 };
}

const seconds = (value: number) => value * 1000;

function movesOf(system: System, text: string): Move[] {
  return text.split(",").map((part): Move => {
    const words = part.trim().split(/\s+/);
    const either = words[0] === "either";
    const [written = "", position = ""] = either ? words.slice(1) : words;
    return {
      choice: either ? "either" : "each",
      controls: membersOf(system, written),
      written,
      position,
      span: nowhere,
    };
  });
}

/** Draft constructors, one for each verb: positions as `s on, t off`, conditions and names as text. */
export const set =
  (moves: string): Draft =>
  ({ system }) => ({ kind: "set", moves: movesOf(system, moves), atOnce: false });
export const verify =
  (moves: string, atOnce = false): Draft =>
  ({ system }) => ({ kind: "verify", moves: movesOf(system, moves), atOnce });
export const check =
  (of: string, ifNot: readonly Draft[] = [aside()]): Draft =>
  ({ system, inner }) => ({ kind: "check", condition: condition(system, of), ifNot: inner(ifNot, "if-not") });
export const say = (): Draft => () => ({ kind: "say", lines: [{ text: "x" }] });
export const sign = (): Draft => () => ({ kind: "sign" });
export const pause = (): Draft => () => ({ kind: "pause" });
export const record =
  (gauge: string): Draft =>
  () => ({ kind: "record", gauge });
export const aside = (): Draft => () => ({ kind: "set-aside", text: "Stop." });
export const finish = (): Draft => () => ({ kind: "finish" });
export const goTo =
  (procedure: string): Draft =>
  () => ({ kind: "go-to", procedure });
export const wait =
  (time: number): Draft =>
  () => ({ kind: "wait", milliseconds: seconds(time) });
export const press =
  (moves: string, times = 1): Draft =>
  ({ system }) => ({ kind: "press", moves: movesOf(system, moves), times });
export const hold =
  (moves: string, steps: readonly Draft[] = [], time?: number, upTo = false): Draft =>
  ({ system, inner }) => ({
    kind: "hold",
    moves: movesOf(system, moves),
    ...(time === undefined ? {} : { for: { milliseconds: seconds(time), upTo } }),
    steps: inner(steps, "while"),
  });
export const waitFor =
  (of: string, more: { within?: number; ifNot?: readonly Draft[]; while?: readonly Draft[] } = {}): Draft =>
  ({ system, inner }) => ({
    kind: "wait-for",
    condition: condition(system, of),
    ...(more.within === undefined ? {} : { within: seconds(more.within) }),
    steps: inner(more.while ?? [], "while"),
    ifNot: inner(more.ifNot ?? [], "if-not"),
  });
export const when =
  (of: string, then: readonly Draft[], other: readonly Draft[] = []): Draft =>
  ({ system, inner }) => ({
    kind: "if",
    condition: condition(system, of),
    // biome-ignore lint/suspicious/noThenProperty: the word of the language for the first way of an `if`.
    then: inner(then, "then"),
    else: inner(other, "else"),
  });
export const decide =
  (...ways: readonly (readonly [string | undefined, readonly Draft[]])[]): Draft =>
  ({ system, inner }) => ({
    kind: "decide",
    ways: ways.map(([of, steps], index) => ({
      ...(of === undefined ? {} : { condition: condition(system, of) }),
      steps: inner(steps, `way${index + 1}`),
      span: nowhere,
    })),
  });
export const choose =
  (...options: readonly (readonly Draft[])[]): Draft =>
  ({ inner }) => ({
    kind: "choose",
    options: options.map(
      (steps, index): Option => ({ title: `${index + 1}`, steps: inner(steps, `option${index + 1}`) }),
    ),
  });
export const repeat =
  (
    steps: readonly Draft[],
    more: { until?: string; times?: number; every?: number; moves?: readonly string[] },
  ): Draft =>
  ({ system, inner }) => ({
    kind: "repeat",
    steps: inner(steps, "body"),
    ...(more.until ? { until: condition(system, more.until) } : {}),
    ...(more.times ? { times: more.times } : {}),
    ...(more.every ? { every: seconds(more.every) } : {}),
    moves: more.moves ?? [],
  });
export const ask =
  (outside: string, state: string): Draft =>
  () => ({ kind: "ask", outside, state, of: "ground" });
export const together =
  (...lanes: readonly (readonly Draft[])[]): Draft =>
  ({ inner }) => ({
    kind: "together",
    lanes: lanes.map((steps, index) => ({ by: "abcdef"[index]!, steps: inner(steps, "abcdef"[index]!) })),
  });
export const section =
  (...steps: readonly Draft[]): Draft =>
  ({ inner }) => ({ kind: "section", title: "Section", steps: inner(steps, "s") });
export const watch =
  (of: string, ifNot: readonly Draft[]): Draft =>
  ({ system, inner }) => ({ kind: "watch", condition: condition(system, of), ifNot: inner(ifNot, "if-not") });
export const prohibit =
  (of: string, until?: string): Draft =>
  ({ system }) => ({
    kind: "prohibit",
    condition: condition(system, of),
    ...(until ? { until: condition(system, until) } : {}),
  });
export const perform =
  (id: string): Draft =>
  ({ system, procedures, inner }) => {
    const target = procedures.get(id)!;
    return {
      kind: "perform",
      target: { kind: "procedure", id, title: id },
      begins: (target.begins ?? []).map((begin) => condition(system, begin)),
      steps: inner(target.steps, `${id}:`),
    };
  };
/** `lit`: `l`, a family, or `l when C`. `count`: `amber 3`. Branches of if-not by light, or `*` for any. */
export const observe =
  (
    lights: string,
    lit: readonly string[],
    more: { count?: string; ifNot?: Readonly<Record<string, readonly Draft[]>> } = {},
  ): Draft =>
  ({ system, inner }) => ({
    kind: "observe",
    lights: namesIn(system, lights),
    lit: lit.flatMap((each) => {
      const [name = "", of] = each.split(" when ");
      return membersOf(system, name).map((light) => ({
        light,
        ...(of ? { when: condition(system, of) } : {}),
        span: nowhere,
      }));
    }),
    count: new Map(
      (more.count ?? "")
        .split(",")
        .filter(Boolean)
        .map((part) => pair(part)),
    ),
    ifNot: Object.entries(more.ifNot ?? {}).map(([light, steps], index) => ({
      ...(light === "*" ? {} : { light }),
      steps: inner(steps, `if-not${index + 1}`),
    })),
  });

/** The same step with an id, a need, a stated time or a fit. */
export function but(draft: Draft, more: { id?: string; needs?: string; takes?: number; applies?: string }): Draft {
  return (place) => ({
    ...draft(place),
    ...(more.id ? { id: more.id } : {}),
    ...(more.needs ? { needs: condition(place.system, more.needs) } : {}),
    ...(more.takes === undefined ? {} : { takes: seconds(more.takes) }),
    ...(more.applies ? { applies: condition(place.system, more.applies) } : {}),
  });
}

function namesIn(system: System, text: string): string[] {
  const sets = [...system.lightSets.values()];
  return text.split(/\s+/).flatMap((name) => sets.find((each) => each.id === name)?.lights ?? membersOf(system, name));
}

function pair(text: string): [Colour, number] {
  const [colour, number] = text.trim().split(/\s+/);
  return [colour as Colour, Number(number)];
}

function lines(text: string, word: string): string[] {
  return text
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line.startsWith(`${word} `))
    .map((line) => line.slice(word.length + 1));
}

/** Name, rest. */
function split(line: string): [string, string] {
  const colon = line.indexOf(":");
  return colon < 0 ? [line.trim(), ""] : [line.slice(0, colon).trim(), line.slice(colon + 1).trim()];
}

function declare(text: string): System {
  const maps = {
    controls: new Map<string, Control>(),
    gauges: new Map<string, Gauge>(),
    equipment: new Map<string, Equipment>(),
    outside: new Map<string, Outside>(),
    conditions: new Map<string, NamedCondition>(),
    lights: new Map<string, Light>(),
    lightSets: new Map<string, LightSet>(),
    groups: new Map<string, Group>(),
  };
  const fits: Fit[] = lines(text, "fit").map((line) => {
    const [id, values] = split(line);
    return { id, values: values.split(/\s+/), span: nowhere };
  });
  const tails: Tail[] = lines(text, "fleet").map((line) => {
    const [name, values] = split(line);
    return {
      name,
      fit: new Map(values.split(/\s+/).map((each) => each.split("=") as [string, string])),
      span: nowhere,
    };
  });
  const system: System = {
    id: "s",
    title: "s",
    fits,
    tails: tails.length > 0 ? tails : combinations(fits),
    ...maps,
    panels: new Map(),
    span: nowhere,
  };
  for (const line of lines(text, "ctl")) declareControl(system, maps.controls, line);
  for (const line of lines(text, "gauge")) {
    const [id, rest] = split(line);
    const range = /(-?[\d.]+) to (-?[\d.]+)/.exec(rest);
    maps.gauges.set(id, {
      kind: "gauge",
      ...thing(system, id, rest),
      unit: "",
      dimension: "number",
      bands: [],
      ...(range ? { low: quantity(range[1]!), high: quantity(range[2]!) } : {}),
    });
  }
  for (const line of lines(text, "eq")) {
    const [id, rest] = split(line);
    const [states = ""] = rest.split(/[;,]/);
    maps.equipment.set(id, {
      kind: "equipment",
      ...thing(system, id, rest),
      states: states.trim().split(/\s+/),
      changes: [],
      ...shown(rest),
    });
  }
  for (const line of lines(text, "sig")) {
    const [id, rest] = split(line);
    const [states = ""] = rest.split(",");
    maps.outside.set(id, {
      kind: "outside",
      ...thing(system, id, rest),
      states: states.trim().split(/\s+/),
      ...shown(rest),
    });
  }
  const lightLines = [
    ...lines(text, "light").map((line) => [line, false] as const),
    ...lines(text, "sound").map((line) => [line, true] as const),
  ];
  for (const [line, sound] of lightLines) {
    const [head, rest] = split(line);
    const words = head.split(/\s+/);
    maps.lights.set(words.at(-1)!, {
      kind: "light",
      ...thing(system, words.at(-1)!, rest),
      sound,
      ...(words.length > 1 ? { colour: words[0] as Colour } : {}),
    });
  }
  for (const line of lines(text, "condition")) {
    const [id, rest] = split(line);
    maps.conditions.set(id, { kind: "condition", ...thing(system, id, ""), means: condition(system, rest) });
  }
  for (const line of lines(text, "lights")) {
    const [id, rest] = split(line);
    maps.lightSets.set(id, {
      id,
      label: id,
      lights: rest.split(/\s+/).flatMap((name) => membersOf(system, name)),
      span: nowhere,
    });
  }
  for (const line of lines(text, "group")) {
    const [id, rest] = split(line);
    maps.groups.set(id, { id, members: rest.split(/\s+/), span: nowhere });
  }
  for (const line of lines(text, "gauge")) {
    const [id, rest] = split(line);
    const moves = /moves (.*)$/.exec(rest)?.[1];
    if (moves) maps.gauges.set(id, { ...maps.gauges.get(id)!, moves: condition(system, moves) });
  }
  for (const line of lines(text, "eq")) {
    const [id, rest] = split(line);
    const changes = rest
      .split(";")
      .slice(1)
      .map((part) => change(system, part.replace(/, (fitted .*|hidden)$/, "").trim()));
    maps.equipment.set(id, { ...maps.equipment.get(id)!, changes });
  }
  for (const [line] of lightLines) logic(system, maps.lights, line);
  return system;
}

function declareControl(system: System, controls: Map<string, Control>, line: string): void {
  const [id, rest] = split(line);
  const [positions = "", ...more] = rest.split(",").map((part) => part.trim());
  const named = (word: string) => more.find((part) => part.startsWith(`${word} `))?.slice(word.length + 1);
  const guard = named("guard");
  const spring = named("springs");
  const [on, rests, tries] = (named("duty") ?? "").split("/").map((part) => (part ? Number(part) : undefined));
  const duty: Duty = {
    span: nowhere,
    ...(on === undefined ? {} : { on: seconds(on) }),
    ...(rests === undefined ? {} : { rest: seconds(rests) }),
    ...(tries === undefined ? {} : { tries }),
  };
  const position = (each: string) => ({ id: each, placard: each.toUpperCase() });
  const base = { kind: "control" as const, ...thing(system, id, rest), safety: false };
  controls.set(id, {
    ...base,
    positions: positions.split(/\s+/).map(position),
    springs: new Map(spring ? spring.split(/\s+/).map((each) => each.split(">") as [string, string]) : []),
    ...(guard ? { guard: `${id}.guard` } : {}),
    ...(named("duty") === undefined ? {} : { duty }),
  });
  if (guard)
    controls.set(`${id}.guard`, {
      ...base,
      id: `${id}.guard`,
      family: `${id}.guard`,
      positions: ["closed", "open"].map(position),
      springs: new Map(),
      guards: { control: id, position: guard },
    });
}

function thing(system: System, id: string, rest: string): Thing {
  const [family = id, side] = id.split(".");
  const fitted = /, fitted (.*)$/.exec(rest)?.[1];
  return {
    id,
    label: id,
    family,
    ...(side ? { side } : {}),
    span: nowhere,
    ...(fitted ? { fitted: condition(system, fitted) } : {}),
  };
}

function shown(rest: string): { shown?: string } {
  return /, hidden$/.test(rest) ? {} : { shown: "a gauge of its own" };
}

/** `x>y when C`, `x/y>z takes 20..60`, `x>y when C takes 5`, `x>y anytime`. */
function change(system: System, text: string): Change {
  const [, from = "", to = "", rest = ""] = /^([\w/-]+)>([\w-]+)\s*(.*)$/.exec(text) ?? [];
  const [, low, high] = /takes (\d+)(?:\.\.(\d+))?$/.exec(rest) ?? [];
  const of = /when (.*?)(?: takes .*)?$/.exec(rest)?.[1];
  return {
    from: from.split("/"),
    to,
    ...(of ? { when: condition(system, of) } : {}),
    ...(low ? { takes: { low: seconds(Number(low)), high: seconds(Number(high ?? low)) } } : {}),
    anytime: rest === "anytime",
    span: nowhere,
  };
}

function logic(system: System, lights: Map<string, Light>, line: string): void {
  const [head, rest] = split(line);
  const id = head.split(/\s+/).at(-1)!;
  const parts = rest
    .replace(/, fitted .*$/, "")
    .split(";")
    .map((part) => part.trim());
  const named = (word: string) => parts.find((part) => part.startsWith(`${word} `))?.slice(word.length + 1);
  const read = (key: string, of: string | undefined) => (of ? { [key]: condition(system, of) } : {});
  lights.set(id, {
    ...lights.get(id)!,
    ...read("litWhen", parts[0] && !/^(flashing|latched-until|cancelled-by) /.test(parts[0]) ? parts[0] : undefined),
    ...read("flashingWhen", named("flashing")),
    ...read("latchedUntil", named("latched-until")),
    ...read("cancelledBy", named("cancelled-by")),
  });
}

function combinations(fits: readonly Fit[]): Tail[] {
  let all: Tail[] = [{ name: "", fit: new Map(), span: nowhere }];
  for (const fit of fits)
    all = all.flatMap((tail) =>
      fit.values.map((value) => ({
        name: [tail.name, `${fit.id}=${value}`].filter(Boolean).join(", "),
        fit: new Map([...tail.fit, [fit.id, value]]),
        span: nowhere,
      })),
    );
  return all;
}

/**
 * `r: never P`, `r: always P`, `r: require P when Q` (while, before), `r: at-most 1 times Q`,
 * `r: require P after Q no-later-than R` (or `end`), and then `within 30`, `only-after A`, `only-until B`, `applies F`.
 */
export function rule(system: System, line: string): Rule {
  const [id, whole] = split(line);
  const parts = whole.split(
    /\b(never|always|require|when|while|before|after|at-most|times|no-later-than|within|only-after|only-until|applies|in)(?= )/,
  );
  const texts = new Map<string, string>();
  for (let index = 1; index < parts.length; index += 2) {
    if (parts[index] === "within" && / is\s*$/.test(parts[index - 1] ?? ""))
      throw new Error("put `is within` in a named condition");
    texts.set(parts[index]!, parts[index + 1]!.trim());
  }
  const read = (word: string): Condition => condition(system, texts.get(word)!);
  const scope = {
    ...(texts.has("only-after") ? { onlyAfter: read("only-after") } : {}),
    ...(texts.has("only-until") ? { onlyUntil: read("only-until") } : {}),
    ...(texts.has("in") ? { in: texts.get("in")!.split(/\s+/) } : {}),
  };
  return {
    id,
    system: system.id,
    form: form(texts, read),
    scope,
    severity: "error",
    span: nowhere,
    ...(texts.has("applies") ? { applies: read("applies") } : {}),
  };
}

function form(texts: ReadonlyMap<string, string>, read: (word: string) => Condition): RuleForm {
  if (texts.has("never")) return { kind: "never", condition: read("never") };
  if (texts.has("always")) return { kind: "always", condition: read("always") };
  if (texts.has("at-most")) return { kind: "at-most", times: Number(texts.get("at-most")), trigger: read("times") };
  for (const kind of ["when", "while", "before"] as const)
    if (texts.has(kind)) return { kind, condition: read("require"), trigger: read(kind) };
  const deadline = texts.get("no-later-than") ?? "end";
  return {
    kind: "after",
    condition: read("require"),
    ...(texts.has("after") ? { trigger: read("after") } : {}),
    deadline: deadline === "end" ? "end" : read("no-later-than"),
    ...(texts.has("within") ? { within: seconds(Number(texts.get("within"))) } : {}),
  };
}
