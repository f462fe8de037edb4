import { describe, expect, test } from "vitest";
import type { Gap, Mark } from "../../src/machine/expression.js";
import { differenceWords, readingWords } from "../../src/prove/gauge-words.js";

/** Even values are the gaps between the marks, odd ones the marks: 0 and 6 lie outside the range. */
const DEPTH: readonly Mark[] = [{ text: "0 m", end: "low" }, { text: "2 m" }, { text: "8 m", end: "high" }];

describe("a reading", () => {
  test.each([
    [[2], "above 0 m and below 2 m"],
    [[1, 2], "below 2 m"],
    [[0, 1, 2], "below 2 m"],
    [[1, 2, 3], "at most 2 m"],
    [[3], "exactly 2 m"],
    [[3, 4, 5], "at least 2 m"],
    [[4, 5, 6], "above 2 m"],
    [[1], "exactly 0 m"],
    [[0, 1, 2, 4, 5, 6], "below 2 m or above 2 m"],
    [[2, 3, 4], "above 0 m and below 8 m"],
  ])("at the places %j is %s", (values, words) => {
    expect(readingWords("DEPTH", DEPTH, values)).toBe(`DEPTH ${words}`);
  });

  test("is a certain one where nobody wrote the mark that bounds it", () => {
    expect(readingWords("DEPTH", [{}, { text: "2 m" }], [2])).toBe("a certain reading of DEPTH");
  });
});

const APART: readonly Gap[] = [
  { text: "1 m", sign: -1 },
  { text: "", sign: 0 },
  { text: "1 m", sign: 1 },
];

describe("a difference", () => {
  test.each([
    [[0], "more than 1 m below"],
    [[0, 1], "at least 1 m below"],
    [[1], "1 m below"],
    [[2], "less than 1 m below"],
    [[3], "equal to"],
    [[4], "less than 1 m above"],
    [[3, 4, 5], "not below and at most 1 m above"],
    [[6], "more than 1 m above"],
    [[0, 6], "more than 1 m below or more than 1 m above"],
    [[1, 2, 3, 4, 5], "at most 1 m below and at most 1 m above"],
  ])("at the places %j is %s", (values, words) => {
    expect(differenceWords(APART, values)).toBe(words);
  });

  test.each([
    [[0], "below"],
    [[0, 1], "not above"],
    [[1], "equal to"],
    [[1, 2], "not below"],
    [[2], "above"],
    [[0, 2], "below or above"],
  ])("without a distance, at the places %j is %s", (values, words) => {
    expect(differenceWords([{ text: "", sign: 0 }], values)).toBe(words);
  });
});
