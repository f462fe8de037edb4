import {
  aside,
  ask,
  but,
  check,
  choose,
  type Draft,
  hold,
  type Micro,
  micro,
  observe,
  type ProcedureText,
  prohibit,
  repeat,
  say,
  set,
  together,
  verify,
  wait,
  waitFor,
  when,
} from "../support/micro.js";

/** A small program that tells a right reading of the semantics from a wrong one, and what is found in it. */
export interface MicroProgram {
  readonly name: string;
  readonly world: string;
  readonly card: ProcedureText;
  readonly others?: Readonly<Record<string, ProcedureText>>;
  /** `code subject @step`, `@-` where it is no step's: all that is found, hints of no effect and what is already so aside. */
  readonly finds: readonly string[];
  /** Hints of no effect, and warnings of what is already so, that must be among what is found. */
  readonly hints?: readonly string[];
  /** Hints that must not be. */
  readonly noHints?: readonly string[];
  /** Other steps at which the finding of this name can happen first; all of them, for breaks by a step's own act. */
  readonly also?: readonly string[];
  readonly tails?: readonly string[];
}

export function worldOf(program: MicroProgram): Micro {
  return micro(program.world, program.card, program.others);
}

const card = (
  steps: readonly Draft[],
  begins: readonly string[] = [],
  more: Partial<ProcedureText> = {},
): ProcedureText => ({
  steps,
  begins,
  ...more,
});

const apu = `
  eq apu: starting avail; starting>avail takes 20..60
  light av: apu is avail`;
const chain = `
  ctl s: off on
  eq e: off one two; off>one when s is on; one>two takes 60
  eq f: no yes; no>yes when e is two takes 30`;
const chainOff = ["s is off", "e is off", "f is no"];
const retriggered = `
  ctl s: off on
  eq r: off on; off>on when s is on takes 10`;
const watchdog = (lit: string) => `
  ctl s: off on
  ctl fuel: off on
  eq g: off crank lit fail; off>crank when s is on; crank>lit ${lit}takes 5..15; crank>fail takes 30
  light f: g is fail`;
const bleed = `${apu}
  ctl bleed: off on
  rule r: require apu is avail for 60 when bleed is on`;
const bleedOff = ["apu is starting", "bleed is off"];
const left = `
  ctl x: open closed
  ctl y: off on
  ctl z: off on
  rule r: require x is closed after x is open no-later-than end`;
const scoped = `
  ctl pump: off on
  ctl bus: off on
  ctl k: off on`;
const pumps = (quantifier: string) => `
  ctl p.left: off on
  ctl p.right: off on
  ctl bus: off on
  rule r: require checked (${quantifier} p is off) before bus is on`;
const known = `
  ctl s: off on
  ctl b: off on
  eq e: x y; x>y when s is on; y>x when s is off
  rule r: require checked (e is y) when b is on`;
const annunciators = `
  ctl t: rest test, springs test>rest
  sig dc: no yes
  light amber l.left: t is test
  light amber l.right: t is test
  light amber mc: t is test and dc is yes
  light white u
  sound bell: t is test`;
const settable = `
  ctl t: rest test, springs test>rest
  ctl m: off start, springs start>off
  light amber l: t is test`;
const guarded = `
  ctl bat: off on, guard on
  rule r: never bat.guard is closed and bat is off`;
const atRest = `
  ctl t: rest test, springs test>rest
  ctl k: off on
  rule r: require k is on when t is rest`;
const fuelled = `
  ctl m: on off
  eq f: run off; run>off when m is off takes 60`;
const running = ["m is on", "f is run"];

/**
 * The micro-programs that came with the semantics, by their numbers, each sub-case a row; names, positions and findings
 * as there. Error-of-text rows belong to the resolver, faults and slips (33) to coverage.
 */
export const MICRO_PROGRAMS: readonly MicroProgram[] = [
  {
    name: "1 the inside of a cascade is not seen",
    world: "ctl s: off on\n eq r: open closed; open>closed when s is on\n rule never: never s is on and r is open",
    card: card([set("s on")], ["s is off", "r is open"]),
    finds: [],
  },
  {
    name: "2 a sprung position is not stood at when nobody holds it",
    world: "ctl t: rest fire, springs fire>rest\n light bell: t is fire\n rule r: never bell is lit",
    card: card([say()]),
    finds: [],
    noHints: ["order/already-so r"],
  },
  {
    name: "2 one moment held is a moment",
    world: "ctl t: rest fire, springs fire>rest\n light bell: t is fire\n rule r: never bell is lit",
    card: card([hold("t fire")]),
    finds: ["order/never r @1"],
    noHints: ["order/already-so r"],
  },
  {
    name: "3 starts are settled, not settled into",
    world: "ctl s: off on\n eq p: idle run; idle>run when s is on; run>idle when s is off",
    card: card([check("s is on")], ["p is run"]),
    finds: [],
    hints: ["flow/never-taken @1"],
  },
  {
    name: "4 a cycle",
    world: "ctl s: off on\n eq e: a b; a>b when s is on; b>a when s is on",
    card: card([set("s on"), say()], ["s is off"]),
    finds: ["system/never-settles @1"],
    noHints: ["flow/never-reached @2"],
  },
  {
    name: "5 a conflict, and the first written",
    world: "ctl s: off on\n eq e: a b c; a>b when s is on; a>c when s is on",
    card: card([set("s on"), check("e is b")], ["s is off", "e is a"]),
    finds: ["system/conflict @1"],
    hints: ["flow/never-taken @2"],
  },
  {
    name: "6 a race that pairwise tests miss",
    world: `ctl s: off on
      eq e1: a b; a>b when s is on
      eq e2: a b; a>b when s is on
      eq e3: a b; a>b when e1 is b and e2 is a
      rule r: never e3 is b`,
    card: card([set("s on")], ["s is off", "e1 is a", "e2 is a", "e3 is a"]),
    finds: ["system/race @1"],
  },
  {
    name: "6 without the second condition",
    world: `ctl s: off on
      eq e1: a b; a>b when s is on
      eq e2: a b; a>b when s is on
      eq e3: a b; a>b when e1 is b
      rule r: never e3 is b`,
    card: card([set("s on")], ["s is off", "e1 is a", "e2 is a", "e3 is a"]),
    finds: ["order/never r @1"],
  },
  {
    name: "7 pending at the start, age unknown",
    world: apu,
    card: card([observe("av", [])], ["apu is starting"]),
    finds: ["observe/surplus av @1"],
  },
  {
    name: "7 after the longest time",
    world: apu,
    card: card([wait(60), observe("av", ["av"])], ["apu is starting"]),
    finds: [],
  },
  {
    name: "7 one second short of it",
    world: apu,
    card: card([wait(59), observe("av", ["av"])], ["apu is starting"]),
    finds: ["observe/missing av @2"],
  },
  {
    name: "8 waits chain through one wait",
    world: chain,
    card: card([set("s on"), wait(90), check("f is yes")], chainOff),
    finds: [],
    hints: ["flow/never-taken @3"],
  },
  {
    name: "8 the same in two waits",
    world: chain,
    card: card([set("s on"), wait(60), wait(30), check("f is yes")], chainOff),
    finds: [],
    hints: ["flow/never-taken @4"],
  },
  {
    name: "8 one second short",
    world: chain,
    card: card([set("s on"), wait(89), check("f is yes")], chainOff),
    finds: [],
    noHints: ["flow/never-taken @3"],
  },
  ...(["x is no", "x is yes"] as const).map(
    (x): MicroProgram => ({
      name: `9 a branch, with ${x}`,
      world: `${apu}\n sig x: no yes\n rule r: never done stop`,
      card: card(
        [wait(30), when("x is yes", [wait(30)]), check("apu is avail", [but(aside(), { id: "stop" })])],
        ["apu is starting", x],
      ),
      finds: x === "x is no" ? ["order/never r @stop"] : [],
      [x === "x is no" ? "noHints" : "hints"]: ["flow/never-taken @3"],
    }),
  ),
  {
    name: "10 a loop",
    world: `${apu}\n gauge q`,
    card: card([repeat([wait(20)], { until: "q >= 5", moves: ["q"] }), check("apu is avail")], ["apu is starting"]),
    finds: [],
    noHints: ["flow/never-taken @2"],
  },
  {
    name: "10 unrolled",
    world: apu,
    card: card([wait(20), wait(20), wait(20), check("apu is avail")], ["apu is starting"]),
    finds: [],
    hints: ["flow/never-taken @4"],
  },
  {
    name: "11 cancelled and triggered again",
    world: retriggered,
    card: card([set("s on"), wait(5), set("s off"), set("s on"), wait(5), check("r is on")], ["s is off", "r is off"]),
    finds: [],
    noHints: ["flow/never-taken @6"],
  },
  {
    name: "11 and another wait",
    world: retriggered,
    card: card(
      [set("s on"), wait(5), set("s off"), set("s on"), wait(5), wait(5), check("r is on")],
      ["s is off", "r is off"],
    ),
    finds: [],
    hints: ["flow/never-taken @7"],
  },
  {
    name: "12 a watchdog",
    world: watchdog(""),
    card: card([set("s on"), wait(30), observe("f", [])], ["s is off", "g is off"]),
    finds: [],
  },
  {
    name: "12 armed later than the entry",
    world: watchdog("when fuel is on "),
    card: card([set("s on"), set("fuel on"), wait(30), observe("f", [])], ["s is off", "g is off", "fuel is off"]),
    finds: ["observe/surplus f @4"],
  },
  {
    name: "12 entered before the start, without a condition",
    world: watchdog(""),
    card: card([wait(30), observe("f", [])], ["g is crank"]),
    finds: [],
  },
  {
    name: "12 entered before the start, with one",
    world: watchdog("when fuel is on "),
    card: card([wait(30), observe("f", [])], ["g is crank", "fuel is on"]),
    finds: ["observe/surplus f @2"],
  },
  {
    name: "13 two lanes wait at once",
    world: apu,
    card: card([together([but(wait(40), { id: "a1" })], [wait(40)]), check("apu is avail")], ["apu is starting"]),
    finds: [],
    noHints: ["flow/never-taken @2"],
  },
  {
    name: "13 one after the other",
    world: apu,
    card: card(
      [together([but(wait(40), { id: "a1" })], [waitFor("done a1"), wait(40)]), check("apu is avail")],
      ["apu is starting"],
    ),
    finds: [],
    hints: ["flow/never-taken @2"],
  },
  {
    name: "14a for: no wait",
    world: bleed,
    card: card([waitFor("apu is avail"), set("bleed on")], bleedOff),
    finds: ["order/when r @2"],
  },
  {
    name: "14b for: the wait",
    world: bleed,
    card: card([waitFor("apu is avail"), wait(60), set("bleed on")], bleedOff),
    finds: [],
  },
  {
    name: "14c for: the crew times it",
    world: bleed,
    card: card([waitFor("apu is avail for 60"), set("bleed on")], bleedOff),
    finds: [],
  },
  {
    name: "14d for: counted from the start",
    world: bleed,
    card: card([wait(60), set("bleed on")], bleedOff),
    finds: ["order/when r @2"],
  },
  {
    name: "15 rise, not level; the start is nobody's",
    world: "ctl b: off on\n ctl g: off on\n rule r: require g is on when b is on",
    card: card([say()], ["b is on", "g is off"]),
    finds: [],
    hints: ["order/already-so r"],
  },
  {
    name: "15 and then",
    world: "ctl b: off on\n ctl g: off on\n rule r: require g is on when b is on",
    card: card([set("b off"), set("b on")], ["b is on", "g is off"]),
    finds: ["order/when r @2"],
    hints: ["order/already-so r"],
  },
  {
    name: "16 the same moment",
    world:
      "ctl m: off on\n condition dc: m is on\n rule w: require dc when m is on\n rule b: require dc before m is on",
    card: card([set("m on")], ["m is off"]),
    finds: [],
  },
  {
    name: "16 done comes with the last act",
    world: "ctl p: off on\n rule r: require done s2 before p is on",
    card: card([but(set("p on"), { id: "s2" })], ["p is off"]),
    finds: [],
  },
  {
    name: "16 of a step with inner steps it comes after",
    world: "ctl p: off on\n ctl q: off on\n rule r: require done s2 before p is on",
    card: card([but(when("q is on", [set("p on")]), { id: "s2" })], ["p is off"]),
    finds: ["order/before r @1.then.1"],
  },
  { name: "17a left open", world: left, card: card([say()]), finds: ["order/after r @-"] },
  { name: "17a begun closed", world: left, card: card([say()], ["x is closed"]), finds: [] },
  {
    name: "17b left behind when set aside",
    world: left,
    card: card([check("x is closed")]),
    finds: ["order/after r @1.if-not.1"],
  },
  { name: "17b begun closed", world: left, card: card([check("x is closed")], ["x is closed"]), finds: [] },
  { name: "17b with verify", world: left, card: card([verify("x closed")]), finds: [] },
  { name: "17c a branch", world: left, card: card([when("x is open", [aside()])]), finds: ["order/after r @1.then.1"] },
  {
    name: "17d opened and set aside",
    world: left,
    card: card([set("x open"), check("z is on"), set("x closed")], ["x is closed"]),
    finds: ["order/after r @2.if-not.1"],
  },
  {
    name: "17d closed before it is set aside",
    world: left,
    card: card([set("x open"), check("z is on", [set("x closed"), aside()]), set("x closed")], ["x is closed"]),
    finds: [],
  },
  {
    name: "18 the deadline at the moment of the cause does not count",
    world: "ctl a: off on\n ctl p: off on\n rule r: require p is on after a is on no-later-than a is not off",
    card: card([set("a on")], ["a is off", "p is off"]),
    finds: [],
  },
  {
    name: "18 the next one does",
    world: "ctl a: off on\n ctl p: off on\n rule r: require p is on after a is on no-later-than a is not off",
    card: card([set("a on"), set("a off"), set("a on")], ["a is off", "p is off"]),
    finds: ["order/after r @3"],
  },
  ...(
    [
      ["opens on what is already so", [set("pump on"), set("bus on")], ["order/never r @2"]],
      ["the other way round", [set("bus on"), set("pump on")], ["order/never r @2"]],
      ["over before it opens", [set("pump on"), set("pump off"), set("bus on")], []],
    ] as const
  ).map(
    ([name, steps, finds]): MicroProgram => ({
      name: `19 scope: ${name}`,
      world: `${scoped}\n rule r: never pump is on only-after bus is on only-until bus is off`,
      card: card(steps, ["pump is off", "bus is off", "k is off"]),
      finds,
    }),
  ),
  {
    name: "19 closing is a deadline",
    world: `${scoped}\n rule r: require k is on after pump is on no-later-than end only-after bus is on only-until bus is off`,
    card: card([set("bus on"), set("pump on"), set("bus off")], ["pump is off", "bus is off", "k is off"]),
    finds: ["order/after r @3"],
  },
  {
    name: "20 at most: the start is not counted",
    world: "ctl s: off on\n rule r: at-most 1 times s is on",
    card: card([set("s off"), set("s on")], ["s is on"]),
    finds: [],
  },
  {
    name: "20 once more",
    world: "ctl s: off on\n rule r: at-most 1 times s is on",
    card: card([set("s off"), set("s on"), set("s off"), set("s on")], ["s is on"]),
    finds: ["order/at-most r @4"],
  },
  {
    name: "20 in a loop",
    world: "ctl s: off on\n gauge q\n rule r: at-most 1 times s is on",
    card: card([repeat([set("s on"), set("s off")], { until: "q >= 1", moves: ["q"] })], ["s is off"]),
    finds: ["order/at-most r @1.body.1"],
  },
  {
    name: "21 several breaks, one finding",
    world: "ctl g: off on\n ctl p: off on\n rule r: require g is on when p is on",
    card: card([set("p off"), set("p on"), set("p off"), set("p on")]),
    finds: ["order/when r @2"],
    also: [],
  },
  {
    name: "21 two ways",
    world: "ctl g: off on\n ctl p: off on\n rule r: require g is on when p is on",
    card: card([set("p off"), choose([set("p on")], [say(), set("p on")])]),
    finds: ["order/when r @2.option1.1"],
    also: ["2.option2.2"],
  },
  {
    name: "22a checked: one side made good",
    world: pumps("all"),
    card: card([check("all p is off", [set("p.left off")]), set("bus on")], ["bus is off"]),
    finds: ["order/before r @2"],
  },
  {
    name: "22a begun with the other off",
    world: pumps("all"),
    card: card([check("all p is off", [set("p.left off")]), set("bus on")], ["bus is off", "p.right is off"]),
    finds: [],
  },
  {
    name: "22b both made good",
    world: pumps("all"),
    card: card([check("all p is off", [set("p off")]), set("bus on")], ["bus is off"]),
    finds: [],
  },
  {
    name: "22c only one ever looked at",
    world: pumps("all"),
    card: card([set("p.left off"), set("bus on")], ["bus is off", "p.right is off"]),
    finds: ["order/before r @2"],
  },
  { name: "22d any", world: pumps("any"), card: card([set("p.left off"), set("bus on")], ["bus is off"]), finds: [] },
  {
    name: "23 known",
    world: known,
    card: card([check("e is y"), set("b on")], ["e is y", "b is off"]),
    finds: [],
    hints: ["flow/never-taken @1"],
  },
  {
    name: "23 known ends",
    world: known,
    card: card([check("e is y"), set("s off"), set("s on"), set("b on")], ["e is y", "b is off"]),
    finds: ["order/when r @4"],
  },
  {
    name: "23 a condition is a thing of its own",
    world:
      "ctl bat: off on\n ctl b: off on\n condition dc: bat is on\n rule r: require checked (bat is on) when b is on",
    card: card([check("dc"), set("b on")], ["b is off"]),
    finds: ["order/when r @2"],
  },
  {
    name: "23 evaluated from its definition",
    world: "ctl bat: off on\n ctl b: off on\n condition dc: bat is on\n rule r: require checked (dc) when b is on",
    card: card([set("bat on"), set("b on")], ["b is off"]),
    finds: [],
  },
  ...(
    [
      [
        "the battery may hide it",
        "light av: apu is avail and bat is on",
        ", hidden",
        ["apu is avail"],
        [],
        ["view/cannot-see"],
      ],
      ["the battery is on", "light av: apu is avail and bat is on", ", hidden", ["apu is avail"], ["bat is on"], []],
      ["it is shown", "", "", ["apu is avail"], [], []],
      ["a handle", "light av: apu is avail and bat is on", ", hidden", ["bat is on"], [], []],
    ] as const
  ).map(
    ([name, light, hidden, [of], begins, finds]): MicroProgram => ({
      name: `24 cannot see: ${name}`,
      world: `ctl bat: off on\n eq apu: starting avail; starting>avail takes 20..60${hidden}\n ${light}`,
      card: card([when(of, [say()])], begins),
      finds,
    }),
  ),
  {
    name: "25 a wrong count alone",
    world: annunciators,
    card: card([
      hold("t test", [observe("l mc bell u", ["l", "bell", "u", "mc when dc is yes"], { count: "amber 3" })]),
    ]),
    finds: ["observe/count @1.while.1"],
  },
  {
    name: "25 a surplus light",
    world: annunciators,
    card: card([hold("t test", [observe("l mc bell u", ["l", "bell", "u"])])]),
    finds: ["observe/surplus mc @1.while.1"],
  },
  {
    name: "25 a missing light is not a wrong count",
    world: annunciators,
    card: card([hold("t test", [observe("l mc bell u", ["l", "bell", "u", "mc"], { count: "amber 3" })])]),
    finds: ["observe/missing mc @1.while.1"],
  },
  {
    name: "26 the lamp failed, not the equipment",
    world: settable,
    card: card([
      hold("t test", [observe("l", ["l"], { ifNot: { "*": [but(prohibit("m is start"), { id: "no" })] } })]),
      hold("m start"),
    ]),
    finds: ["prohibit/broken no @2"],
  },
  {
    name: "26 guarded by its being done",
    world: settable,
    card: card([
      hold("t test", [observe("l", ["l"], { ifNot: { "*": [but(prohibit("m is start"), { id: "no" })] } })]),
      when("not done no", [hold("m start")]),
    ]),
    finds: [],
  },
  { name: "27 closing a guard is one act", world: guarded, card: card([set("bat.guard closed")]), finds: [] },
  {
    name: "27 under a closed guard",
    world: "ctl bat: off on, guard on",
    card: card([set("bat off"), check("bat is off")]),
    finds: ["guard/closed @1"],
    hints: ["flow/never-taken @2"],
  },
  {
    name: "27 under an open one",
    world: "ctl bat: off on, guard on",
    card: card([set("bat off"), check("bat is off")], ["bat.guard is open"]),
    finds: [],
  },
  {
    name: "28 let go however it ends",
    world: atRest,
    card: card([hold("t test", [aside()])], ["k is off"]),
    finds: ["order/when r @1"],
    hints: ["order/already-so r"],
  },
  {
    name: "28 by a check that fails",
    world: atRest,
    card: card([hold("t test", [check("k is on")])], ["k is off"]),
    finds: ["order/when r @1"],
    hints: ["order/already-so r"],
  },
  {
    name: "29 each waits for the other",
    world: "ctl x: off on\n ctl y: off on",
    card: card([
      together(
        [waitFor("done b1"), but(set("x on"), { id: "a1" })],
        [waitFor("done a1"), but(set("y on"), { id: "b1" })],
      ),
    ]),
    finds: ["flow/waits-for-ever @1.a.1"],
  },
  {
    name: "29 a control that the other holds",
    world: "ctl t: rest test, springs test>rest",
    card: card([together([hold("t test", [waitFor("done b")])], [but(set("t rest"), { id: "b" })])]),
    finds: ["flow/waits-for-ever @1.a.1.while.1", "lanes/held t @b"],
  },
  {
    name: "29 either first",
    world: "ctl x: off on\n ctl y: off on\n rule r: require x is on before y is on",
    card: card([together([set("x on")], [set("y on")])], ["x is off", "y is off"]),
    finds: ["order/before r @1.b.1"],
  },
  {
    name: "29 one waits",
    world: "ctl x: off on\n ctl y: off on\n rule r: require x is on before y is on",
    card: card([together([set("x on")], [waitFor("x is on"), set("y on")])], ["x is off", "y is off"]),
    finds: [],
  },
  {
    name: "30 an order has no cycle",
    world: "gauge a\n gauge b\n gauge c",
    card: card([check("a > b"), check("b > c"), when("c >= a", [say()])]),
    finds: [],
    hints: ["flow/never-reached @3.then.1"],
  },
  {
    name: "30 constants are in it",
    world: "gauge a\n gauge b",
    card: card([check("a <= 100"), check("b >= 100"), when("a > b", [say()])]),
    finds: [],
    hints: ["flow/never-reached @3.then.1"],
  },
  {
    name: "30 both exactly there",
    world: "gauge a\n gauge b",
    card: card([check("a <= 100"), check("b >= 100"), when("a >= b", [say()])]),
    finds: [],
    noHints: ["flow/never-reached @3.then.1"],
  },
  {
    name: "30 what a loop moves",
    world: "gauge a\n gauge b\n gauge c",
    card: card([
      check("a > c"),
      repeat([say()], { until: "a <= b", moves: ["a", "b"] }),
      check("a <= b"),
      when("a <= c", [say()]),
    ]),
    finds: [],
    hints: ["flow/never-taken @3"],
    noHints: ["flow/never-reached @4.then.1"],
  },
  {
    name: "31 a step that is not there on one ship",
    world: "fit tank: yes no\n fleet A: tank=yes\n fleet B: tank=no\n ctl p: off on",
    card: card([but(set("p off"), { id: "s1", applies: "tank is yes" })], ["p is on"], { ends: ["p is off"] }),
    finds: ["flow/promise @-"],
    tails: ["B"],
  },
  {
    name: "31 no start",
    world: "fit tank: yes no\n fleet A: tank=yes\n ctl p: off on",
    card: card([set("p off"), check("p is on")], ["p is on", "tank is no"], { ends: ["p is on"] }),
    finds: ["flow/no-start @-"],
    noHints: ["flow/never-taken @2", "flow/never-reached @1"],
  },
  ...(
    [
      ["too early", [set("m off")], { ends: ["f is off"] }, ["flow/promise @-"]],
      ["in time", [set("m off"), wait(60)], { ends: ["f is off"] }, []],
      ["handed over too early", [set("m off")], { ends: ["m is off"], next: "n" }, ["flow/hand-over @-"]],
      ["handed over in time", [set("m off"), wait(60)], { ends: ["m is off"], next: "n" }, []],
      ["lost in the final pause", [set("m off")], { ends: ["f is run"] }, ["flow/promise @-"]],
    ] as const
  ).map(
    ([name, steps, more, finds]): MicroProgram => ({
      name: `32 ${name}`,
      world: fuelled,
      card: card(steps, running, more),
      others: { n: { steps: [say()], begins: ["f is off"] } },
      finds,
    }),
  ),
  {
    name: "an answer is so at once",
    world: "sig power: no yes\n ctl p: off on\n rule r: require power is yes when p is on",
    card: card([ask("power", "yes"), set("p on")], ["p is off"]),
    finds: [],
  },
];
