import { existsSync, mkdirSync, readdirSync, readFileSync, symlinkSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { writeFiles } from "../../src/cli/write-files.js";
import { folderWith } from "./run.js";

test("the folder is made, and nothing but the files is in it", () => {
  const out = join(folderWith({}), "a", "b");
  writeFiles(out, [
    { name: "one.txt", content: "1" },
    { name: "two.bin", content: Uint8Array.of(0, 255) },
  ]);
  expect(readdirSync(out).sort()).toEqual(["one.txt", "two.bin"]);
  expect([...readFileSync(join(out, "two.bin"))]).toEqual([0, 255]);
});

test("all or none: where one cannot be written the others stay as they were", () => {
  const out = folderWith({ "one.txt": "old" });
  mkdirSync(join(out, "two.txt"));
  const files = ["one.txt", "two.txt", "three.txt"].map((name) => ({ name, content: "new" }));
  expect(() => writeFiles(out, files)).toThrow(/two\.txt` cannot be written: it is a folder/);
  expect(readFileSync(join(out, "one.txt"), "utf8")).toBe("old");
  expect(readdirSync(out).sort()).toEqual(["one.txt", "two.txt"]);
});

test("a link in the place of a file is replaced, and what it led to is left alone", () => {
  const folder = folderWith({ "outside.txt": "precious", "out/keep.txt": "kept" });
  symlinkSync("../outside.txt", join(folder, "out", "card.txt"));
  symlinkSync("../outside.txt", join(folder, "out", ".card.txt.new"));
  writeFiles(join(folder, "out"), [{ name: "card.txt", content: "new" }]);
  expect(readFileSync(join(folder, "outside.txt"), "utf8")).toBe("precious");
  expect(readFileSync(join(folder, "out", "card.txt"), "utf8")).toBe("new");
  expect(readdirSync(join(folder, "out")).sort()).toEqual(["card.txt", "keep.txt"]);
});

test("a file where the folder should be is refused in words", () => {
  const folder = folderWith({ out: "a file" });
  expect(() => writeFiles(join(folder, "out"), [{ name: "x", content: "" }])).toThrow(/cannot be written: /);
  expect(existsSync(join(folder, "out", "x"))).toBe(false);
});

test("a folder below is made, but never reached through a link", () => {
  const folder = folderWith({ "elsewhere/keep.txt": "kept" });
  writeFiles(join(folder, "out"), [{ name: "cards/a.txt", content: "a" }]);
  expect(readFileSync(join(folder, "out", "cards", "a.txt"), "utf8")).toBe("a");
  symlinkSync("../elsewhere", join(folder, "out", "charts"));
  expect(() => writeFiles(join(folder, "out"), [{ name: "charts/a.txt", content: "a" }])).toThrow(
    /link to another place/,
  );
  expect(readdirSync(join(folder, "elsewhere"))).toEqual(["keep.txt"]);
});

test("a folder in which nothing can be made is refused in words, and at once", () => {
  const folder = process.platform === "win32" ? "nul:/out" : "/proc/no-such-folder/out";
  expect(() => writeFiles(folder, [{ name: "x", content: "" }])).toThrow(/cannot be written: /);
});
