import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { textsIn } from "../../src/emit/inspect/type-size.js";
import { contrast, luminance } from "../../src/emit/layout/contrast.js";
import { LAMPS } from "../../src/emit/layout/lamp.js";
import type { Page } from "../../src/emit/layout/page.js";
import { pageStarts } from "../../src/emit/layout/paginate.js";
import type { Piece } from "../../src/emit/layout/piece.js";
import { leastSizes, profileOf } from "../../src/emit/layout/profile.js";
import type { Step } from "../../src/program/procedure.js";
import { is, set, step } from "../support/anser-program.js";
import { cardOf, measure, pagesOf } from "../support/cards.js";

const PAPERS = ["A4", "A5", "A6", "half letter", "74 x 105 mm"];

/** Texts of the flow with their right ends; feet and heads are of the page. */
function flowTexts(page: Page) {
  return page.contents.flatMap((content) =>
    content.marks.flatMap(textsIn).map((mark) => ({
      ...mark,
      purpose: content.purpose,
      step: content.step,
      end: mark.x + measure.width(mark.text, mark.face, mark.size),
    })),
  );
}

function words(text: string, response: string): Step {
  return step({ kind: "do", text: "x" }, { words: { challenge: text, response } });
}

const FOUR_HUNDRED = "Overboard discharge valve on the port side abaft the towing winch drum "
  .repeat(6)
  .slice(0, 400)
  .trim();

describe("challenge and response", () => {
  test.each(PAPERS)(
    "on %s: a challenge of 400 letters keeps its response on its last line, and never alone",
    (paper) => {
      const { pages } = pagesOf([cardOf([words(FOUR_HUNDRED, "WATER FLOWING")])], paper);
      const texts = pages.flatMap(flowTexts);
      const response = texts.find((text) => text.text.startsWith("WATER"));
      expect(response).toBeDefined();
      const beside = texts.filter(
        (text) => text.purpose === "challenge" && Math.abs(text.y - (response?.y ?? 0)) < 0.5,
      );
      expect(beside.length).toBeGreaterThan(0);
      const dots = texts.filter((text) => text.purpose === "leader" && Math.abs(text.y - (response?.y ?? 0)) < 0.5);
      expect(dots.some((text) => text.text.length >= 3)).toBe(true);
    },
  );

  test("lines of a long challenge are about as long as each other", () => {
    const { pages } = pagesOf([
      cardOf([words("Overboard discharge valve on the port side abaft the towing winch drum", "WATER FLOWING")]),
    ]);
    const lines = pages.flatMap(flowTexts).filter((text) => text.purpose === "challenge");
    const widths = lines.map((line) => line.end - line.x);
    expect(lines.length).toBe(2);
    expect(Math.min(...widths) / Math.max(...widths)).toBeGreaterThan(0.7);
  });

  test("no line ends between a number and its unit (common practice, no published source)", () => {
    const texts = Array.from({ length: 60 }, (_, index) => `${"x".repeat(index + 1)} wait up to 10 s for the pump`);
    const { pages } = pagesOf([cardOf(texts.map((text) => words(text, "RUNNING")))], "A6");
    const lines = pages.flatMap(flowTexts).filter((text) => text.purpose === "challenge");
    expect(lines.some((line) => line.text.includes("10 s"))).toBe(true);
    expect(lines.filter((line) => /\b10$/.test(line.text))).toEqual([]);
  });

  test("leader dots stand on one grid, counted from the right edge", () => {
    const { pages } = pagesOf([
      cardOf([set(["breaker"], "open"), set(["cooling-pump.port"], "off"), words("Day tank", "40 %")]),
    ]);
    const [page] = pages;
    const dots =
      page?.contents
        .filter((content) => content.purpose === "leader")
        .flatMap((content) => content.marks.flatMap(textsIn)) ?? [];
    const pitch = measure.width(".", "regular", 12);
    const edge = Math.max(
      ...(page ? flowTexts(page) : []).filter((text) => text.purpose === "response").map((text) => text.end),
    );
    expect(dots).toHaveLength(3);
    for (const dot of dots)
      expect(Math.abs(((edge - dot.x) / pitch) % 1) < 1e-6 || Math.abs(((edge - dot.x) / pitch) % 1) > 1 - 1e-6).toBe(
        true,
      );
  });

  test("no bare gap: between challenge and response there are dots to within two of their pitch (CAP 676; NASA CR-177605 3.7)", () => {
    const steps = Array.from({ length: 24 }, (_, index) =>
      words("Valve ".repeat(1 + (index % 9)), "OPEN ".repeat(1 + (index % 7))),
    );
    for (const paper of PAPERS) {
      for (const page of pagesOf([cardOf(steps)], paper).pages) {
        const texts = flowTexts(page);
        for (const response of texts.filter((text) => text.purpose === "response")) {
          const line = texts.filter(
            (text) =>
              Math.abs(text.y - response.y) < 0.5 && text.step === response.step && text.purpose === "challenge",
          );
          if (line.length === 0) continue;
          const gap = response.x - Math.max(...line.map((text) => text.end));
          const dots = texts.filter((text) => text.purpose === "leader" && Math.abs(text.y - response.y) < 0.5);
          const covered = dots.reduce((sum, text) => sum + text.end - text.x, 0);
          expect(gap - covered).toBeLessThan(12 * 0.35 * 2 + 12 * 0.3 * 2 + 0.1);
        }
      }
    }
  });

  test("a word wider than its column is cut and stays inside", () => {
    const { pages } = pagesOf(
      [cardOf([words("Donaudampfschifffahrtselektrizitätenhauptbetriebswerkbauunterbeamtengesellschaft", "OPEN")])],
      "A6",
    );
    for (const page of pages) for (const text of flowTexts(page)) expect(text.end).toBeLessThan(page.width - 10);
  });
});

describe("pages", () => {
  test("no text leaves its page, whatever is on it", () => {
    const word = fc.string({ minLength: 1, maxLength: 30, unit: "grapheme" });
    const text = fc.array(word, { minLength: 1, maxLength: 40 }).map((parts) => parts.join(" "));
    fc.assert(
      fc.property(
        fc.array(fc.tuple(text, text, fc.boolean()), { minLength: 1, maxLength: 12 }),
        fc.constantFrom(...PAPERS),
        (lines, paper) => {
          const steps = lines.map(([challenge, response, warned]) =>
            step(
              { kind: "do", text: challenge },
              { words: { challenge, response }, ...(warned ? { warning: challenge } : {}) },
            ),
          );
          for (const page of pagesOf([cardOf(steps, { title: lines[0]?.[0] ?? "x" })], paper).pages) {
            for (const one of flowTexts(page)) {
              expect(one.x).toBeGreaterThanOrEqual(0);
              expect(one.end, `${one.purpose} ${one.text}`).toBeLessThanOrEqual(page.width);
              expect(one.y).toBeLessThanOrEqual(page.height);
            }
          }
        },
      ),
      { numRuns: 25, endOnFailure: true },
    );
  });

  test("300 steps: every one whole, numbered in order, pages filled", () => {
    const steps = Array.from({ length: 300 }, (_, index) =>
      index % 7 === 0
        ? words("Discharge valve on the port side abaft the winch drum", "WATER FLOWING")
        : set(["breaker"], "open", index % 11 === 0 ? { caution: "A shut suction ruins the pump." } : {}),
    );
    const { pages } = pagesOf([cardOf(steps)]);
    const numbers = pages.flatMap((page) =>
      page.contents
        .filter((content) => content.purpose === "number")
        .flatMap((content) => content.marks.flatMap(textsIn).map((text) => Number(text.text))),
    );
    expect(numbers).toEqual(Array.from({ length: 300 }, (_, index) => index + 1));
    const pageOf = new Map<string, Set<number>>();
    pages.forEach((page, index) => {
      for (const { step: name } of page.contents)
        if (name) pageOf.set(name, new Set([...(pageOf.get(name) ?? []), index]));
    });
    expect([...pageOf.values()].every((on) => on.size === 1)).toBe(true);
    for (const page of pages.slice(0, -1)) {
      const bottom = Math.max(
        ...flowTexts(page)
          .filter((text) => text.purpose !== "foot")
          .map((text) => text.y),
      );
      expect(bottom).toBeGreaterThan(page.height * 0.72);
    }
  });

  test("a heading is never last on a page, nor a caution parted from its step", () => {
    for (let before = 1; before < 24; before += 1) {
      const steps = [
        ...Array.from({ length: before }, () => set(["breaker"], "open")),
        step({
          kind: "section",
          title: "Second part",
          steps: [set(["cooling-pump.port"], "on", { caution: "Water first." })],
        }),
      ];
      const { pages } = pagesOf([cardOf(steps)], "A6");
      const withHeading = pages.findIndex((page) =>
        flowTexts(page).some((text) => text.text === "Second part" && text.size === 14),
      );
      const withCaution = pages.findIndex((page) => flowTexts(page).some((text) => text.text === "CAUTION"));
      const withStep = pages.findIndex((page) => flowTexts(page).some((text) => text.text === "COOLING PUMP 1"));
      expect([withCaution, withStep]).toEqual([withHeading, withHeading]);
    }
  });

  test("60 lights stand in columns, each with its lamp, over several pages where they must", () => {
    const lights = Array.from({ length: 60 }, (_, index) => ({
      lamp: { label: `LIGHT ${index + 1}`, colour: "red" as const, sound: false },
      lit: [true],
    }));
    const card = cardOf([step({ kind: "do", text: "Look" })]);
    const [first] = card.blocks;
    if (first?.kind !== "step") throw new Error("no step");
    const block = {
      ...first,
      lines: [
        {
          kind: "lights" as const,
          title: "All lights",
          cases: [{ heading: "", counts: [{ colour: "red" as const, number: 60 }] }],
          lamps: lights,
          rest: "",
        },
      ],
    };
    for (const paper of PAPERS) {
      const { pages } = pagesOf([{ ...card, blocks: [block] }], paper);
      const labels = pages
        .flatMap(flowTexts)
        .filter((text) => text.purpose === "text" && /^LIGHT \d+$/.test(text.text));
      expect(labels.map((label) => label.text)).toEqual(lights.map((light) => light.lamp.label));
      const lamps = pages.flatMap((page) => page.contents).filter((content) => content.purpose === "lamp");
      expect(lamps).toHaveLength(60);
    }
  });

  test("a page that goes on says so, and the next says what goes on", () => {
    const inner = Array.from({ length: 40 }, () => set(["breaker"], "open"));
    const steps = [
      step({
        kind: "section",
        title: "Long",
        // biome-ignore lint/suspicious/noThenProperty: the language calls it so.
        steps: [step({ kind: "if", condition: is("breaker", "open"), then: inner, else: [] })],
      }),
    ];
    const { pages } = pagesOf([cardOf(steps)]);
    const texts = pages.map((page) =>
      flowTexts(page)
        .map((text) => text.text)
        .join(" "),
    );
    expect(texts.length).toBeGreaterThan(1);
    for (const text of texts.slice(0, -1)) expect(text).toContain("continued");
    for (const text of texts.slice(1)) {
      expect(text).toContain("A Long continued");
      expect(text).toContain("If GEN BREAKER is OPEN, continued:");
    }
  });
});

describe("pageStarts", () => {
  const piece = (height: number, penalty: number): Piece => ({
    height,
    penalty,
    contents: [],
    before: 0,
    after: 0,
    frames: [],
    part: "line",
    changed: false,
    removedBefore: false,
  });

  test("finds the cheapest way, as trying every way does", () => {
    const flow = fc.array(
      fc.record({ height: fc.integer({ min: 5, max: 40 }), penalty: fc.constantFrom(0, 40, 400) }),
      { minLength: 1, maxLength: 11 },
    );
    fc.assert(
      fc.property(flow, (given) => {
        const made = given.map(({ height, penalty }) => piece(height, penalty));
        const starts = pageStarts(made, { first: 80, other: 100 });
        expect(costOf(made, starts)).toBeCloseTo(Math.min(...everyWay(made).map((way) => costOf(made, way))), 6);
      }),
      { numRuns: 200 },
    );
  });

  /** The measure of the layout, written a second time: pages, what breaks cost, empty space squared. */
  function costOf(flow: readonly Piece[], starts: readonly number[]): number {
    return starts.reduce((sum, start, index) => {
      const end = starts[index + 1] ?? flow.length;
      const used = flow.slice(start, end).reduce((total, one) => total + one.height, 0);
      const room = start === 0 ? 80 : 100;
      if (used > room && end - start > 1) return Number.POSITIVE_INFINITY;
      const empty = Math.max(0, 1 - used / room);
      return (
        sum +
        6000 +
        (start === 0 ? 0 : (flow[start]?.penalty ?? 0)) +
        (1000 * empty * empty + 80 * empty) * (end === flow.length ? 0.3 : 1)
      );
    }, 0);
  }

  function everyWay(flow: readonly Piece[]): number[][] {
    const ways: number[][] = [];
    for (let bits = 0; bits < 2 ** (flow.length - 1); bits += 1)
      ways.push([0, ...flow.map((_, index) => index).filter((index) => index > 0 && (bits >> (index - 1)) % 2 === 1)]);
    return ways;
  }
});

describe("contrast (WCAG 2.x, unrounded)", () => {
  test.each([
    ["#000000", "#ffffff", 21],
    ["#777777", "#ffffff", 4.478089],
    ["#767676", "#ffffff", 4.542225],
    ["#959595", "#ffffff", 2.995346],
    ["#595959", "#ffffff", 7.004729],
    ["#ff0000", "#ffffff", 3.998477],
    ["#c00000", "#ffffff", 6.479],
    ["#ffbf00", "#ffffff", 1.653],
    ["#ffbf00", "#000000", 12.704],
    ["#008000", "#ffffff", 5.137],
    ["#0000ff", "#ffffff", 8.592],
  ])("%s on %s is %d to 1", (one, other, ratio) => {
    expect(Math.abs(contrast(one, other) - ratio)).toBeLessThan(0.0006);
    expect(contrast(one, other)).toBe(contrast(other, one));
  });

  test("luminance of mid grey", () => expect(luminance("#777777")).toBeCloseTo(0.1844749945, 9));

  test("every lamp's letter stands out by 4.5 to 1", () => {
    for (const { fill, letter } of Object.values(LAMPS)) expect(contrast(fill, letter)).toBeGreaterThanOrEqual(4.5);
  });
});

describe("profiles", () => {
  test("arm's length is CAP 676 at 600 mm: body 12, headings 14, nothing under 10, no heading under 12", () => {
    expect(profileOf("arm-length")).toMatchObject({ distance: 600, body: 12, heading: 14, small: 10 });
    expect(leastSizes(600)).toEqual({ text: 10, heading: 12 });
  });

  test("other distances keep the visual angle", () => {
    expect(profileOf("console")?.body).toBeCloseTo((12 * 900) / 600, 9);
    expect(profileOf("in-hand")?.body).toBeCloseTo((12 * 450) / 600, 9);
  });

  test("display-arc has capitals of 20 minutes of arc at 600 mm (MIL-STD-411F 5.2.9)", () => {
    const capital = 600 * Math.tan((20 / 60) * (Math.PI / 180)) * (72 / 25.4);
    expect((profileOf("display-arc")?.body ?? 0) * measure.capHeight("regular")).toBeGreaterThanOrEqual(capital);
  });

  test.each(["far", "12", "pt at mm", "0 pt at 600 mm", "12 pt at 9999999 mm", "__proto__"])("`%s` is none", (text) =>
    expect(profileOf(text)).toBeUndefined(),
  );
});
