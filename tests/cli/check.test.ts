import { execFileSync, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdirSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { CAUTION } from "../../src/report/report.js";
import { filesIn, folderWith, PROOFCARD, proofcard, SOUND, UNSOUND } from "./run.js";

const ESCAPE = "\u001b";

describe("exit status", () => {
  test("0 where nothing is found; the summary and the caution on stdout, nothing on stderr", () => {
    const ran = proofcard(folderWith(SOUND), ["check"]);
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(ran.out).toContain("No findings.\n");
    expect(ran.out).toContain(CAUTION);
  });

  test("1 with a finding of the failing level", () => {
    const ran = proofcard(folderWith(UNSOUND), ["check"]);
    expect(ran).toMatchObject({ status: 1, err: "" });
    expect(ran.out).toContain("cards/start.yaml:7:12");
    expect(ran.out).toContain("`pmup`");
    expect(ran.out).toContain("Not proved: `start`, its text has errors.");
  });

  test("the failing level is the mildest that fails", () => {
    const folder = folderWith({ ...SOUND, "project.yaml": SOUND["project.yaml"]!.replace("]", ', "none/*.yaml"]') });
    expect(proofcard(folder, ["check"]).status).toBe(0);
    expect(proofcard(folder, ["check", "--fail-on", "warning"]).status).toBe(1);
  });

  test.each<[string, string[], RegExp]>([
    ["an unknown command", ["chek"], /unknown command 'chek'[\s\S]*check/],
    ["an unknown option", ["check", "--fast"], /unknown option '--fast'/],
    ["a format that is none", ["check", "--format", "pdf"], /Allowed choices are text, json, sarif, junit/],
    [
      "a report without a file",
      ["check", "--report", "sarif"],
      /a format \(text, json, sarif, junit\), a colon and a file/,
    ],
    ["a report in no format", ["check", "--report", "pdf:a.pdf"], /a format \(text, json, sarif, junit\)/],
    [
      "two reports in one file",
      ["check", "--report", "json:a", "--report", "text:./a"],
      /`\.\/a` is given to two reports|`a` is given/,
    ],
    ["a report in place of a source", ["check", "--report", "text:cards/start.yaml"], /is a source of the project/],
    ["a report that is a folder", ["check", "--report", "text:cards"], /`cards` cannot be written: it is a folder/],
    ["a time limit that is none", ["check", "--time-limit", "soon"], /number of seconds/],
    ["a path that is not there", ["check", "gone"], /`gone`: there is no such file or folder/],
    ["a code that no finding has", ["explain", "order/whne"], /no finding has the code `order\/whne`/],
  ])("2 for %s, said on stderr", (_, args, message) => {
    const ran = proofcard(folderWith(SOUND), args);
    expect(ran).toMatchObject({ status: 2, out: "" });
    expect(ran.err).toMatch(message);
  });

  test("2 where there is no project", () => {
    const ran = proofcard(folderWith({ "a.txt": "" }), ["check"]);
    expect(ran).toMatchObject({ status: 2, out: "" });
    expect(ran.err).toContain("proofcard: no project here");
    expect(ran.err).toContain("help: `proofcard init`");
  });

  test("2 without a command, which prints the help", () => {
    const ran = proofcard(folderWith({}), []);
    expect(ran).toMatchObject({ status: 2, out: "" });
    expect(ran.err).toContain("Usage: proofcard");
  });

  test("0 for the help and the version", () => {
    expect(proofcard(folderWith({}), ["--help"])).toMatchObject({ status: 0, err: "" });
    expect(proofcard(folderWith({}), ["check", "--help"])).toMatchObject({ status: 0, err: "" });
    expect(proofcard(folderWith({}), ["--version"]).out).toMatch(/^\d+\.\d+\.\d+\n$/);
  });
});

describe("paths", () => {
  const files = Object.fromEntries(Object.entries(UNSOUND).map(([path, text]) => [`ships/${path}`, text]));

  test("are shown from the current folder where the project lies below it", () => {
    expect(proofcard(folderWith(files), ["check", "ships"]).out).toContain("  ships/cards/start.yaml:7:12\n");
  });

  test("are the project's own where the current folder lies within it", () => {
    expect(proofcard(join(folderWith(files), "ships", "cards"), ["check"]).out).toContain("  cards/start.yaml:7:12\n");
  });

  test("a file asks for its own findings only, and the status is that of those", () => {
    const second = SOUND["cards/start.yaml"]!.replace("Start", "Start again");
    const folder = folderWith({ ...UNSOUND, "cards/again.yaml": second });
    expect(proofcard(folder, ["check", "cards/again.yaml"])).toMatchObject({ status: 0 });
    expect(proofcard(folder, ["check", "cards/start.yaml"])).toMatchObject({ status: 1 });
  });
});

describe("formats", () => {
  test.each(["json", "sarif", "junit"])("%s is one whole document on stdout", (format) => {
    const ran = proofcard(folderWith(UNSOUND), ["check", "--format", format]);
    expect(ran).toMatchObject({ status: 1, err: "" });
    if (format === "junit") expect(ran.out).toMatch(/^<\?xml[\s\S]*<\/testsuites>\n$/);
    else expect(() => JSON.parse(ran.out)).not.toThrow();
  });

  test.each(["text", "json", "sarif", "junit"])("%s has the same bytes in another folder", (format) => {
    const outs = [0, 1].map(() => proofcard(folderWith(UNSOUND), ["check", "--format", format, "--quiet"]).out);
    expect(outs[0]).toBe(outs[1]);
    expect(outs[0]).not.toBe("");
  });

  test("--report writes what --format prints, several in one run, beside what is printed", () => {
    const folder = folderWith(UNSOUND);
    const formats = ["json", "sarif", "junit"];
    const asked = formats.flatMap((format) => ["--report", `${format}:out/report.${format}`]);
    const ran = proofcard(folder, ["check", "--quiet", ...asked]);
    expect(ran).toMatchObject({ status: 1, err: "", out: proofcard(folder, ["check", "--quiet"]).out });
    const written = filesIn(join(folder, "out"));
    expect(Object.keys(written)).toEqual(formats.map((format) => `report.${format}`).sort());
    for (const format of formats)
      expect(written[`report.${format}`]).toBe(
        Buffer.from(proofcard(folder, ["check", "--format", format]).out).toString("latin1"),
      );
  });

  test("--report of text has no colour and no time, whatever the terminal", () => {
    const folder = folderWith(UNSOUND);
    proofcard(folder, ["check", "--report", "text:r.txt"], { FORCE_COLOR: "1" });
    const text = filesIn(folder)["r.txt"]!;
    expect(text).not.toContain(ESCAPE);
    expect(text).toContain("`pmup`");
    expect(text).not.toMatch(/\d s\./);
  });

  test("--quiet prints nothing where nothing is found", () => {
    expect(proofcard(folderWith(SOUND), ["check", "--quiet"])).toMatchObject({ status: 0, out: "", err: "" });
  });
});

describe("colour", () => {
  const coloured = (environment: Record<string, string>): boolean =>
    proofcard(folderWith(UNSOUND), ["check"], environment).out.includes(ESCAPE);

  test("a pipe gets none, FORCE_COLOR brings it, NO_COLOR wins (no-color.org: set and not empty)", () => {
    expect(coloured({})).toBe(false);
    expect(coloured({ FORCE_COLOR: "1" })).toBe(true);
    expect(coloured({ FORCE_COLOR: "0" })).toBe(false);
    expect(coloured({ NO_COLOR: "1", FORCE_COLOR: "1" })).toBe(false);
    expect(coloured({ NO_COLOR: "", FORCE_COLOR: "1" })).toBe(true);
  });
});

describe("pipes", () => {
  const MANY = 3000;

  /** A card with a wrong name in each of many steps: a report larger than a pipe holds. */
  function large(): string {
    const steps = Array.from({ length: MANY }, (_, index) => `  - set: { pmup-${index}: on }\n`).join("");
    return folderWith({ ...SOUND, "cards/start.yaml": `${SOUND["cards/start.yaml"]!.split("  - set")[0]}${steps}` });
  }

  test("piped output is never cut", () => {
    const shell = `"${process.execPath}" "${PROOFCARD}" check --format json | (sleep 1; cat)`;
    const out = execFileSync("sh", ["-c", shell], { cwd: large(), encoding: "utf8", maxBuffer: 1 << 28 });
    expect(JSON.parse(out).findings.length).toBeGreaterThanOrEqual(MANY);
  });

  test("a reader that goes away ends it without a word", async () => {
    const child = spawn(process.execPath, [PROOFCARD, "check"], { cwd: large() });
    let err = "";
    child.stderr.on("data", (data) => {
      err += data;
    });
    child.stdout.once("data", () => child.stdout.destroy());
    await once(child, "close");
    expect(err).toBe("");
  });
});

describe("build", () => {
  test("writes each card, and the page that leads to them; stdout names the files", () => {
    const folder = folderWith(SOUND);
    const ran = proofcard(folder, ["build", "--out", "out"]);
    expect(ran.status, ran.err).toBe(0);
    const written = Object.keys(filesIn(join(folder, "out"))).sort();
    expect(written).toEqual([
      "book.pdf",
      "cards/start.html",
      "cards/start.pdf",
      "cards/start.txt",
      "diagrams/start.flowchart.svg",
      "diagrams/start.map.svg",
      "index.html",
    ]);
    expect(ran.out.trim().split("\n").sort()).toEqual(written.map((name) => `out/${name}`));
  });

  test("an error stops it before anything is written", () => {
    const folder = folderWith({ ...UNSOUND, "out/cards/start.html": "old" });
    const ran = proofcard(folder, ["build", "--out", "out"]);
    expect(ran).toMatchObject({ status: 1, out: "" });
    expect(ran.err).toContain("Nothing was written");
    expect(filesIn(join(folder, "out"))).toEqual({ "cards/start.html": "old" });
  });

  test("nothing outside the folder is touched", () => {
    const folder = folderWith(SOUND);
    const before = filesIn(folder);
    mkdirSync(join(folder, "out"));
    proofcard(folder, ["build", "--out", "out"]);
    const after = filesIn(folder);
    expect(Object.fromEntries(Object.entries(after).filter(([path]) => !path.startsWith("out/")))).toEqual(before);
  });

  test("two runs write the same bytes", () => {
    const built = [0, 1].map(() => {
      const folder = folderWith(SOUND);
      proofcard(folder, ["build", "--out", "out"]);
      return filesIn(join(folder, "out"));
    });
    expect(built[0]).toEqual(built[1]);
    expect(Object.keys(built[0]!).length).toBeGreaterThan(2);
  });

  test("--draft prints a sound card with DRAFT on it", () => {
    const folder = folderWith(SOUND);
    expect(proofcard(folder, ["build", "--out", "out", "--draft"]).status).toBe(0);
    expect(filesIn(join(folder, "out"))["cards/start.html"]).toContain("DRAFT");
  });

  test("--paper is taken in place of the project's, and one that is none is refused", () => {
    const folder = folderWith(SOUND);
    expect(proofcard(folder, ["build", "--out", "a6", "--paper", "A6"]).status).toBe(0);
    const boxes = filesIn(join(folder, "a6"))["cards/start.pdf"]!.match(/\/MediaBox \[([^\]]*)\]/)?.[1];
    expect(boxes?.split(" ").map((edge) => Math.round((Number(edge) / 72) * 25.4))).toEqual([0, 0, 105, 148]);
    const ran = proofcard(folder, ["build", "--out", "a9", "--paper", "A9"]);
    expect(ran).toMatchObject({ status: 2, out: "" });
    expect(ran.err).toContain("`A9` is no paper");
  });

  test("for one card alone, the book and the page that leads to all stay as they were", () => {
    const folder = folderWith({ ...SOUND, "out/index.html": "old" });
    expect(proofcard(folder, ["build", "cards/start.yaml", "--out", "out"]).status).toBe(0);
    expect(filesIn(join(folder, "out"))["index.html"]).toBe("old");
    expect(Object.keys(filesIn(join(folder, "out")))).not.toContain("book.pdf");
  });

  test("a folder that cannot be made is said, with status 2", () => {
    const folder = folderWith({ ...SOUND, out: "a file" });
    const ran = proofcard(folder, ["build", "--out", "out"]);
    expect(ran).toMatchObject({ status: 2, out: "" });
    expect(ran.err).toContain("`out` cannot be written");
  });
});

describe("init", () => {
  test("writes a project in which nothing is found, and which builds", () => {
    const folder = folderWith({});
    expect(proofcard(folder, ["init", "air"]).status).toBe(0);
    const ran = proofcard(folder, ["check", "air", "--fail-on", "info"]);
    expect(ran.out).toContain("No findings.");
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(proofcard(folder, ["build", "air", "--out", "out"]).status).toBe(0);
  });

  test("overwrites nothing", () => {
    const folder = folderWith({ "project.yaml": "mine" });
    expect(proofcard(folder, ["init"])).toMatchObject({ status: 2, out: "" });
    expect(filesIn(folder)).toEqual({ "project.yaml": "mine" });
  });
});

describe("explain", () => {
  test("prints the page of a code", () => {
    const ran = proofcard(folderWith({}), ["explain", "project/source-outside"]);
    expect(ran).toMatchObject({ status: 0, err: "" });
    expect(ran.out).toContain("project/source-outside (error)");
    expect(ran.out).toContain('sources: ["*.yaml", "../shared/*.yaml"]');
  });

  test("without a code, lists them", () => {
    const { out } = proofcard(folderWith({}), ["explain"]);
    expect(out).toMatch(/^allow\/unused +warning +An `allow`/m);
  });
});
