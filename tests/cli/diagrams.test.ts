import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { expect, test } from "vitest";
import { DIAGRAMS } from "../../src/emit/diagrams.js";
import { filesIn, folderWith, proofcard, SOUND } from "./run.js";

/** Names of the pictures that are written for a list. */
function pictures(list: readonly string[]): readonly string[] {
  const folder = folderWith(SOUND);
  const ran = proofcard(folder, ["build", "--out", "out", ...list]);
  expect(ran.status, ran.err).toBe(0);
  return Object.keys(filesIn(join(folder, "out"))).filter((name) => name.startsWith("diagrams/"));
}

test("flowchart, map and light table are drawn unless others are asked for; a card that looks at no lights has no table", () => {
  expect(pictures([])).toEqual(["diagrams/start.flowchart.svg", "diagrams/start.map.svg"]);
  expect(pictures(["--diagrams", "none"])).toEqual([]);
  expect(pictures(["--diagrams", "map, mermaid"])).toEqual(["diagrams/start.flowchart.mmd", "diagrams/start.map.svg"]);
  expect(pictures(["--diagrams", "all"])).toEqual([
    "diagrams/start.flowchart.mmd",
    "diagrams/start.flowchart.svg",
    "diagrams/start.graph.mmd",
    "diagrams/start.graph.svg",
    "diagrams/start.map.svg",
  ]);
});

test("the help names every picture that there is", () => {
  const { out } = proofcard(folderWith({}), ["build", "--help"]);
  expect(out.replace(/\s+/g, " ")).toContain(`${DIAGRAMS.join(", ")}; all or none`);
});

test.each([
  ["chart", "`chart` is none of flowchart"],
  ["all,map", "stand alone"],
  ["", "`` is none of"],
])("`--diagrams %s` is refused", (list, why) => {
  const ran = proofcard(folderWith(SOUND), ["build", "--out", "out", "--diagrams", list]);
  expect(ran).toMatchObject({ status: 2, out: "" });
  expect(ran.err).toContain(why);
});

test("the graph says from the prover that the promise relies on the line that keeps it", () => {
  const folder = folderWith(SOUND);
  proofcard(folder, ["build", "--out", "out", "--diagrams", "graph,mermaid"]);
  const graph = filesIn(join(folder, "out"))["diagrams/start.graph.mmd"] ?? "";
  expect(graph.split("\n").filter((line) => /^ {2}n/.test(line))).toEqual([
    '  n1["1<br>PUMP: ON"]',
    '  n2(["At the end: PUMP is ON"])',
    "  n1 --> n2",
  ]);
});

test("the book has the pictures behind the cards, the page of all leads to them", () => {
  const folder = folderWith(SOUND);
  const pages = (list: string, out: string) => {
    expect(proofcard(folder, ["build", "--out", out, "--diagrams", list]).status).toBe(0);
    return execFileSync("pdftotext", ["-layout", join(folder, out, "book.pdf"), "-"], { encoding: "utf8" });
  };
  expect(pages("none", "bare")).not.toMatch(/Flowchart|Panel map/);
  const text = pages("flowchart,map,graph", "full");
  for (const title of ["Flowchart", "Panel map", "What relies on what"]) expect(text).toContain(title);
  const index = filesIn(join(folder, "full"))["index.html"];
  for (const name of ["flowchart", "map", "graph"]) expect(index).toContain(`diagrams/start.${name}.svg`);
});
