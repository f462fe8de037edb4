import { expect, test } from "vitest";
import { paragraphOf } from "../../src/lint/baseline.js";

test.each([
  ["6.10/7", "6.10/", 7, 7],
  ["6.10/7-9", "6.10/", 7, 9],
  ["6.10/7 to 9", "6.10/", 7, 9],
  ["6.10.12", "6.10.", 12, 12],
  ["6-9", "6-", 9, 9],
  ["12-14", "12-", 14, 14],
  ["7-1", "7-", 1, 1],
  ["14", "", 14, 14],
])("`%s` is number %s %d to %d", (ref, within, number, last) => {
  expect(paragraphOf(ref)).toEqual({ ref, within, number, last });
});

test("a reference that ends in no number has no place in an order", () => {
  expect(paragraphOf("6.10/c")).toBeUndefined();
});
