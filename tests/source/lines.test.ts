import fc from "fast-check";
import { expect, test } from "vitest";
import { Lines } from "../../src/source/lines.js";

test("lines end at LF, at CR LF and at a lone CR", () => {
  const lines = new Lines("ab\r\ncd\nef\rgh");
  expect(lines.count).toBe(4);
  expect([1, 2, 3, 4].map((line) => lines.text(line))).toEqual(["ab", "cd", "ef", "gh"]);
  expect(lines.place(5)).toEqual({ line: 2, column: 2 });
});

test("an offset before or beyond the text is at its beginning or end", () => {
  const lines = new Lines("ab\n");
  expect(lines.place(-3)).toEqual({ line: 1, column: 1 });
  expect(lines.place(99)).toEqual({ line: 2, column: 1 });
});

test("counting line ends before an offset gives the same line as looking it up", () => {
  const text = fc.array(fc.constantFrom("a", "b", "\n", "\r\n", "é", "😀")).map((parts) => parts.join(""));
  fc.assert(
    fc.property(text, fc.nat(60), (written, offset) => {
      const before = written.slice(0, Math.min(offset, written.length));
      const cut = before.endsWith("\r") ? before.slice(0, -1) : before;
      expect(new Lines(written).place(offset).line).toBe(cut.split(/\r?\n/).length);
    }),
  );
});
