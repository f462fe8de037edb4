import { describe, expect, test } from "vitest";
import { BILGE, cardWith, systemWith } from "../../src/lint/example.js";
import { caretsOf, lintOf } from "./on-repository.js";

const SIDED = BILGE.replace(
  "controls:\n",
  `controls:\n  cock: { label: SEA COCK, sides: [port, starboard], positions: [closed, open] }\n`,
);

describe("words of a line against the panel", () => {
  test("a label in other letters and with more words is the label", () => {
    expect(caretsOf(cardWith("- set: { pump: on }\n  words: { challenge: The bilge-pump, response: On }"))).toEqual([]);
  });

  test("a line about both sides goes by the one label", () => {
    const steps = "- verify: { cock: closed }\n  words: { challenge: Sea cocks and strainers, response: Closed }";
    expect(caretsOf(cardWith(steps, { system: SIDED }))).toEqual(["wording/label-differs: Sea cocks and strainers"]);
    const mended = steps.replace("Sea cocks and strainers", "Each sea cock");
    expect(caretsOf(cardWith(mended, { system: SIDED }))).toEqual([]);
  });

  test("a line about several controls may have a name for them all", () => {
    const steps = "- set: { pump: on, suction: open }\n  words: { challenge: Bilge, response: Being pumped }";
    expect(caretsOf(cardWith(steps))).toEqual([]);
  });

  test("a response with both positions in it is not judged", () => {
    const steps = "- set: { suction: open }\n  words: { challenge: Suction, response: Closed then Open }";
    expect(caretsOf(cardWith(steps))).toEqual([]);
  });

  test("the answer to a check is compared too", () => {
    const steps =
      "- check: suction is open\n  if-not: { set-aside: Call the mate. }\n  words: { challenge: Suction, response: CLOSED }";
    expect(caretsOf(cardWith(steps))).toEqual(["wording/response-differs: CLOSED"]);
  });

  test("`SET` answers where it is a position", () => {
    const brake = BILGE.replace("[off, on]", "[released, set]");
    const steps = "- set: { pump: set }\n  words: { challenge: Bilge pump, response: SET }";
    expect(caretsOf(cardWith(steps, { system: brake }))).toEqual([]);
  });

  test("a `do` that names a label in small letters talks of something else", () => {
    expect(caretsOf(cardWith("- do: Feel for suction at the open hose"))).toEqual([]);
  });
});

describe("shape of a card", () => {
  const looks = (count: number) => Array.from({ length: count }, (_, index) => `- do: Look at frame ${index + 1}`);

  test("a list in `verify` is a line for each, a map is one", () => {
    const nine = looks(9).join("\n");
    expect(caretsOf(cardWith(`- verify: [pump: off, suction: closed]\n${nine}`))).toHaveLength(1);
    expect(caretsOf(cardWith(`- verify: { pump: off, suction: closed }\n${nine}`))).toEqual([]);
  });

  test("lines of a decision belong to it", () => {
    const inside = looks(6)
      .map((line) => `    ${line}`)
      .join("\n");
    expect(caretsOf(cardWith(`${looks(6).join("\n")}\n- if: pump is on\n  then:\n${inside}`))).toEqual([]);
  });

  test("a move between two looks leaves the critical one where it is", () => {
    const look = (condition: string) => `- check: ${condition}\n  if-not: { set-aside: Call the mate. }`;
    const steps = `${look("well <= 200 L")}\n- set: { pump: on }\n${look("suction is open")}\n  critical: true`;
    expect(caretsOf(cardWith(steps))).toEqual([]);
  });

  test("initials may follow the completion call, and an end stops the search for lines after it", () => {
    expect(caretsOf(cardWith("- do: Close the hatch\n- say: Checklist complete\n- sign: Mate"))).toEqual([]);
    const ended =
      "- if: pump is on\n  then:\n    - say: Checklist complete\n    - finish: Nothing to do.\n- do: Close the hatch";
    expect(caretsOf(cardWith(ended))).toEqual([]);
    const open = "- if: pump is on\n  then:\n    - say: Checklist complete\n- do: Close the hatch";
    expect(caretsOf(cardWith(open))).toEqual(["structure/early-completion: say: Checklist complete"]);
  });

  test("a part that is performed twice is one text", () => {
    const head = "parts:\n  look:\n    - do: The hatch should be shut";
    expect(caretsOf(cardWith("- perform: look\n- set: { pump: on }\n- perform: look", { head }))).toEqual([
      "wording/not-imperative: The",
    ]);
  });
});

describe("records", () => {
  const head = "baseline: { document: Bilge manual, section: 4.2 }";
  const lines = (...refs: string[]) =>
    refs.map((ref, index) => `- do: Look at frame ${index + 1}\n  ref: ${ref}`).join("\n");

  test("a card that traces no line is left in peace", () => {
    expect(caretsOf(cardWith("- set: { pump: on }\n- do: Close the hatch", { head }))).toEqual([]);
  });

  test("a range of paragraphs fills a gap, and one line may carry several of a kind", () => {
    expect(caretsOf(cardWith(lines("4.2/1", "4.2/2-4", "4.2/5", "4.2/5"), { head }))).toEqual([]);
  });

  test("other sections of the baseline have an order of their own", () => {
    expect(caretsOf(cardWith(lines("4.2/7", "3.1/1", "4.2/8"), { head }))).toEqual([]);
  });

  test("the ways of a decision have no order among them, and what follows has one after both", () => {
    const way = (ref: string) => `    - do: Look at frame 1\n      ref: ${ref}`;
    const steps = (last: string) =>
      `- if: pump is on\n  then:\n${way("4.2/3")}\n  else:\n${way("4.2/2")}\n- do: Close the hatch\n  ref: ${last}`;
    expect(caretsOf(cardWith(steps("4.2/4"), { head }))).toEqual([]);
    expect(caretsOf(cardWith(steps("4.2/1"), { head }))).toEqual(["record/out-of-order: 4.2/1"]);
  });

  test("a part that is performed again is no step back", () => {
    const steps = "- perform: look\n- perform: look";
    const parts = `parts:\n  look:\n${lines("4.2/1", "4.2/2").replace(/^/gm, "    ")}`;
    expect(caretsOf(cardWith(steps, { head: `${head}\n${parts}` }))).toEqual([]);
  });

  test("a gap is told with the numbers that are missing", () => {
    const [gap] = lintOf(cardWith(lines("4.2/1", "4.2/4", "4.2/5"), { head }));
    expect(gap?.message).toBe("`4.2/2`, `4.2/3` of the baseline are neither on the card nor in `omits`");
  });

  test("the way out of a check is accounted for with the check", () => {
    const steps =
      "- check: suction is open\n  ref: 4.2/1\n  if-not:\n    - set: { suction: open }\n- pause: Crew change";
    expect(caretsOf(cardWith(steps, { head }))).toEqual([]);
  });
});

describe("lights", () => {
  test("an advisory may be of any colour but red and amber", () => {
    const advisory = (colour: string) =>
      systemWith(`  wet: { label: WET, colour: ${colour}, alert: advisory, lit-when: pump is on }`);
    expect(caretsOf(cardWith("- set: { pump: on }", { system: advisory("blue") }))).toEqual([]);
    expect(caretsOf(cardWith("- set: { pump: on }", { system: advisory("amber") }))).toEqual([
      "light/colour-against-alert: amber",
    ]);
  });

  test("a bare legend in a labelled control is named by it", () => {
    const inside = systemWith("  failed: { label: FAULT, in: pump, colour: amber, lit-when: pump is on }");
    expect(caretsOf(cardWith("- set: { pump: on }", { system: inside }))).toEqual([]);
  });

  test("the two sides of a light are one declaration", () => {
    const sided = systemWith("  low: { label: FAIL, sides: [port, starboard], colour: amber, lit-when: pump is on }");
    expect(caretsOf(cardWith("- set: { pump: on }", { system: sided }))).toEqual(["light/bare-legend: FAIL"]);
  });
});
