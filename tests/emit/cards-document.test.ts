import { describe, expect, test } from "vitest";
import type { Block, Line } from "../../src/emit/card/content.js";
import { cardDocument } from "../../src/emit/card/document.js";
import { stepBlocks } from "../../src/emit/card/keys.js";
import { htmlCard } from "../../src/emit/html/card.js";
import { textsIn } from "../../src/emit/inspect/type-size.js";
import { textCard } from "../../src/emit/text/card.js";
import type { Step } from "../../src/program/procedure.js";
import { HERE, is, procedure, programOf, set, step } from "../support/anser-program.js";
import { cardOf, pagesOf } from "../support/cards.js";
import { loadProgram } from "../support/load.js";

function linesOf(steps: readonly Step[]): readonly Line[] {
  return stepBlocks(cardOf(steps).blocks).flatMap((block) => block.lines);
}

function pairs(steps: readonly Step[]): readonly string[] {
  return linesOf(steps).flatMap((line) =>
    line.kind === "pair"
      ? [`${line.joined ? "and " : ""}${line.challenge} / ${[line.lead, line.response].filter(Boolean).join(" ")}`]
      : [],
  );
}

const move = (controls: string[], position: string) => ({
  choice: "each" as const,
  controls,
  written: controls[0] ?? "",
  position,
  span: HERE,
});

describe("what a step prints", () => {
  test("set gives the words engraved on the control and its position", () => {
    expect(pairs([set(["breaker"], "closed")])).toEqual(["GEN BREAKER / CLOSED"]);
  });

  test("both sides go to one line, either side says so", () => {
    expect(pairs([set(["cooling-pump.port", "cooling-pump.starboard"], "on")])).toEqual(["COOLING PUMP 1 and 2 / ON"]);
    const either = step({
      kind: "set",
      moves: [{ ...move(["cooling-pump.port", "cooling-pump.starboard"], "on"), choice: "either" }],
      atOnce: true,
    });
    expect(pairs([either])).toEqual(["Either COOLING PUMP 1 or 2 / ON"]);
  });

  test("at once to different positions: joined lines, each with its own response", () => {
    const moves = [move(["breaker"], "open"), move(["cooling-pump.port"], "off")];
    expect(pairs([step({ kind: "set", moves, atOnce: true })])).toEqual([
      "GEN BREAKER / OPEN",
      "and COOLING PUMP 1 / OFF",
    ]);
    expect(pairs([step({ kind: "set", moves, atOnce: false })])).toEqual([
      "GEN BREAKER / OPEN",
      "COOLING PUMP 1 / OFF",
    ]);
  });

  test("verify and check say which of them they are (DOE-STD-1029-92: verify makes it so, check touches nothing)", () => {
    expect(pairs([set(["breaker"], "open", {}, "verify")])).toEqual(["GEN BREAKER / verify OPEN"]);
    expect(pairs([step({ kind: "check", condition: is("breaker", "open"), ifNot: [] })])).toEqual([
      "GEN BREAKER / check OPEN",
    ]);
  });

  test("a held control is let go on the card, to where its spring takes it", () => {
    const hold = step({
      kind: "hold",
      moves: [move(["start-key"], "crank")],
      for: { milliseconds: 15000, upTo: true },
      steps: [step({ kind: "do", text: "Listen" })],
    });
    expect(pairs([hold])).toEqual(["ENGINE / HOLD CRANK, 15 s at most", "ENGINE / LET GO, RUN"]);
  });

  test("a press says how often", () => {
    expect(pairs([step({ kind: "press", moves: [move(["silence"], "pressed")], times: 2 })])).toEqual([
      "SILENCE / PRESS twice",
    ]);
  });

  test("a wait of a minute or more has room for its times, a short one has not (DOE-STD-1029-92: a timed step)", () => {
    expect(linesOf([step({ kind: "wait", milliseconds: 90000 })]).map((line) => line.kind)).toEqual(["pair", "timer"]);
    expect(linesOf([step({ kind: "wait", milliseconds: 5000 })]).map((line) => line.kind)).toEqual(["pair"]);
  });

  test("the author's own words come before the derived ones", () => {
    expect(pairs([set(["breaker"], "open", { words: { challenge: "Main switch", response: "OUT" } })])).toEqual([
      "Main switch / OUT",
    ]);
  });

  test("a prohibition that nothing ends is in force at the end", () => {
    const card = cardOf([step({ kind: "prohibit", condition: is("breaker", "closed") })]);
    expect(card.inForce).toEqual(["GEN BREAKER is CLOSED (line 1)"]);
  });

  test("departures from the baseline are marked in order, with their reasons", () => {
    const card = cardOf(
      [set(["breaker"], "open", { added: "Port rules." }), set(["breaker"], "closed", { moved: "Earlier." })],
      {
        baseline: { document: "Manual", section: "6.10" },
        omits: [{ ref: "6.10/7", because: "Not fitted.", span: HERE }],
      },
    );
    expect(card.footnotes).toEqual([
      { mark: "+1", text: "Added, line 1: Port rules." },
      { mark: "+2", text: "Moved, line 2: Earlier." },
      { mark: "", text: "Left out: 6.10/7. Not fitted." },
    ]);
    expect(stepBlocks(card.blocks).map((block) => block.marks.footnote)).toEqual(["+1", "+2"]);
  });

  test("killer items come from the author or from outside", () => {
    const steps = [
      set(["breaker"], "open", { critical: true }),
      set(["breaker"], "closed", { name: "named" }),
      set(["breaker"], "open"),
    ];
    const marks = stepBlocks(cardOf(steps, {}, { killers: new Set(["named"]) }).blocks).map(
      (block) => block.marks.killer,
    );
    expect(marks).toEqual([true, true, false]);
  });

  test("the caution stands on every card, and that it is fictional where a title says so", () => {
    expect(cardOf([]).cautions).toEqual([
      "Fictional. Not for operation.",
      "Check against the approved manuals and the local rules; have it approved by those licensed to do so.",
    ]);
  });
});

describe("change bars", () => {
  const a = set(["breaker"], "open", { name: "a" });
  const b = set(["breaker"], "closed", { name: "b" });
  const c = set(["cooling-pump.port"], "off", { name: "c" });
  const changes = (before: readonly Step[], after: readonly Step[]) => {
    const old = programOf(procedure(before));
    const now = procedure(after);
    const card = cardDocument(programOf(now), now, { since: old });
    return stepBlocks(card.blocks).map(
      ({ name, marks }) => `${name}${marks.changed ? " changed" : ""}${marks.removedBefore ? " removed" : ""}`,
    );
  };

  test("nothing is marked where nothing changed", () => expect(changes([a, b], [a, b])).toEqual(["a", "b"]));
  test("a new line is", () => expect(changes([a, b], [a, c, b])).toEqual(["a", "c changed", "b"]));
  test("a line with other content is", () =>
    expect(changes([a, b], [a, set(["cooling-pump.port"], "on", { name: "b" })])).toEqual(["a", "b changed"]));
  test("a moved line is not a new one", () => expect(changes([a, b, c], [c, a, b])).toEqual(["c", "a", "b"]));
  test("a line whose name was made from its place, and moved with it, is not", () => {
    expect(
      changes(
        [
          { ...a, name: "1" },
          { ...b, name: "2" },
        ],
        [
          { ...c, name: "1" },
          { ...a, name: "2" },
          { ...b, name: "3" },
        ],
      ),
    ).toEqual(["1 changed", "2", "3"]);
  });
  test("a line that is gone leaves a mark before the next", () =>
    expect(changes([a, c, b], [a, b])).toEqual(["a", "b removed"]));
  test("a new reason alone is none: it is not printed on the line", () => {
    expect(changes([a], [{ ...a, because: "New reason." }])).toEqual(["a"]);
  });
  test("a new warning is", () => expect(changes([a], [{ ...a, warning: "Hot." }])).toEqual(["a changed"]));
});

describe("light blocks by case", () => {
  const system = (lit: string) => ({
    "s.yaml": `kind: system\ntitle: S (fictional)\ncontrols:\n  mains: { label: MAINS, positions: [off, battery, shore] }\nlights:\n  a: { label: A, colour: red }\n  b: { label: B, colour: amber }\n  c: { label: C, colour: green }\nlight-sets:\n  all: [a, b, c]\n`,
    "p.yaml": `kind: procedure\ntitle: P\ncategory: normal\nsteps:\n  - observe: all\n    lit: ${lit}\n`,
  });
  const block = (lit: string) => {
    const { program } = loadProgram(system(lit));
    const [card] = [...program.procedures.values()].map((one) => cardDocument(program, one));
    const line = stepBlocks(card?.blocks ?? []).flatMap((one) => one.lines)[0];
    if (line?.kind !== "lights") throw new Error("no lights");
    return {
      cases: line.cases.map((one) => [
        one.heading,
        one.counts.map((count) => `${count.number} ${count.colour}`).join(),
      ]),
      lamps: line.lamps.map((row) => `${row.lamp.label} ${row.lit.map((lit) => (lit ? "lit" : "out")).join()}`),
    };
  };

  test("without conditions there is one case", () => {
    expect(block("[a, b]")).toEqual({ cases: [["", "1 red,1 amber"]], lamps: ["A lit", "B lit"] });
  });

  test("conditions that exclude each other stand side by side, with the rest", () => {
    expect(block("[a, { b: mains is battery }, { c: mains is shore }]")).toEqual({
      cases: [
        ["If MAINS is BATTERY", "1 red,1 amber"],
        ["If MAINS is SHORE", "1 red,1 green"],
        ["Otherwise", "1 red"],
      ],
      lamps: ["A lit,lit,lit", "B lit,out,out", "C out,lit,out"],
    });
  });

  test("cases that leave nothing over have no rest", () => {
    expect(
      block("[{ a: mains is off }, { b: mains is battery }, { c: mains is shore }]").cases.map(([heading]) => heading),
    ).toEqual(["If MAINS is OFF", "If MAINS is BATTERY", "If MAINS is SHORE"]);
  });

  test("conditions that can hold together add to what is always lit", () => {
    expect(block("[a, { b: mains is not off }, { c: mains is shore }]").cases).toEqual([
      ["Always", "1 red"],
      ["And if MAINS is not OFF", "1 amber"],
      ["And if MAINS is SHORE", "1 green"],
    ]);
  });
});

describe("a flow", () => {
  const flow = cardOf(
    [
      set(["breaker"], "open"),
      set(["cooling-pump.port", "cooling-pump.starboard"], "off", { critical: true }),
      set(["start-key"], "off"),
      set(["breaker"], "closed"),
    ],
    { readAs: ["flow"] },
  );
  const titles = (blocks: readonly Block[]) =>
    blocks.map((block) => (block.kind === "group" ? block.word : block.kind === "section" ? block.title : block.kind));

  test("stands panel by panel in the order of the hand, and ends in the check of its killer items", () => {
    expect(titles(flow.blocks)).toEqual(["BOARD", "START", "BOARD", "Then check, from the card"]);
    const last = flow.blocks.at(-1);
    expect(last?.kind === "section" && stepBlocks(last.blocks).flatMap((block) => block.lines)).toEqual([
      { kind: "pair", challenge: "COOLING PUMP 1 and 2", response: "OFF", joined: false },
    ]);
  });
});

test("a decision has its number, who decides, for which ships and its foot note at its lead, in every form", () => {
  const decision = step(
    // biome-ignore lint/suspicious/noThenProperty: the language calls it so.
    { kind: "if", condition: is("breaker", "open"), then: [set(["breaker"], "closed")], else: [] },
    { by: ["mate"], added: "Port rules." },
  );
  const card = cardOf([decision], {
    crew: new Map([
      ["eng", "Engineer"],
      ["mate", "Mate"],
    ]),
  });
  expect(textCard(card)).toMatch(/^ {4}1 {2}\[MATE\] If GEN BREAKER is OPEN: \+1$/m);
  expect(htmlCard(card)).toMatch(/<span class="mark">MATE<\/span><strong>If<\/strong> GEN BREAKER is OPEN: <sup>/);
  const texts = pagesOf([card]).pages.flatMap((page) =>
    page.contents.flatMap((content) => content.marks.flatMap(textsIn).map((mark) => mark.text)),
  );
  expect(texts.join(" ")).toContain("1 MATE If GEN BREAKER is OPEN: +1");
});

test("controls, line ends and marks that turn text about become spaces in every text", () => {
  const card = cardOf([step({ kind: "do", text: "Turn\u202e off\n the\u0000 pump\ud800" })], { title: "A\u2066B" });
  expect(card.title).toBe("A B");
  expect(stepBlocks(card.blocks)[0]?.lines[0]).toMatchObject({ text: "Turn off the pump\ufffd" });
});
