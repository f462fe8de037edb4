import { mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { CannotWork } from "../../src/workspace/host.js";
import { nodeHost } from "../../src/workspace/node-host.js";
import { openWorkspace } from "../../src/workspace/project.js";
import { memoryHost } from "../support/memory-host.js";

const PROJECT = (sources: string): string => `kind: project\nformat: 1\ntitle: Plant\nsources: ${sources}\n`;
const CARD = "kind: procedure\n";

function open(files: Readonly<Record<string, string>>, paths: readonly string[] = [], current = "/plant") {
  return openWorkspace(memoryHost(files), current, paths);
}

function pathsOf(...asked: Parameters<typeof open>): string[] {
  return open(...asked).files.map((file) => file.path);
}

function reason(act: () => unknown): string {
  try {
    act();
  } catch (error) {
    if (error instanceof CannotWork) return error.message;
    throw error;
  }
  return "it worked";
}

describe("finding the project", () => {
  const files = {
    "/plant/project.yaml": PROJECT(`["cards/*.yaml"]`),
    "/plant/cards/a.yaml": CARD,
    "/plant/cards/b.yaml": CARD,
    "/other/project.yaml": PROJECT("[]"),
    "/none/x.yaml": CARD,
  };

  test("without paths it is the current folder's, or that of a folder above", () => {
    expect(pathsOf(files)).toEqual(["project.yaml", "cards/a.yaml", "cards/b.yaml"]);
    expect(open(files, [], "/plant/cards").root).toBe("/plant");
  });

  test("a folder or a file of it asks for what is in it; the whole project is read", () => {
    expect(open(files, ["/plant"]).focus).toBeUndefined();
    expect(open(files, ["project.yaml"]).focus).toEqual(new Set(["project.yaml"]));
    expect(open(files, ["cards/b.yaml"]).focus).toEqual(new Set(["cards/b.yaml"]));
    expect(open(files, ["cards"]).focus).toEqual(new Set(["cards/a.yaml", "cards/b.yaml"]));
    expect(pathsOf(files, ["cards/b.yaml"])).toEqual(["project.yaml", "cards/a.yaml", "cards/b.yaml"]);
  });

  test("what cannot be found is said", () => {
    expect(reason(() => open(files, ["/none"]))).toContain("no project here");
    expect(reason(() => open(files, ["cards/c.yaml"]))).toBe("`cards/c.yaml`: there is no such file or folder");
    expect(reason(() => open(files, ["/plant", "/other"]))).toBe("the paths lie in different projects");
    expect(reason(() => open({ ...files, "/plant/notes/c.yaml": CARD }, ["notes"]))).toBe(
      "`notes` holds no source of this project",
    );
  });

  test("a second project file beside the first is read too, so that it can be found wrong", () => {
    const paths = pathsOf({ ...files, "/plant/second.yaml": PROJECT("[]") });
    expect(paths).toEqual(["project.yaml", "second.yaml", "cards/a.yaml", "cards/b.yaml"]);
  });
});

describe("sources", () => {
  const below = (patterns: string) => ({
    "/plant/project.yaml": PROJECT(patterns),
    "/plant/a.yaml": CARD,
    "/plant/b.yml": CARD,
    "/plant/one/c.yaml": CARD,
    "/plant/one/two/d.yaml": CARD,
    "/plant/one/.hidden/e.yaml": CARD,
    "/plant/node_modules/f.yaml": CARD,
    "/plant.yaml": CARD,
  });
  const sourcesFor = (patterns: string): string[] => pathsOf(below(patterns)).slice(1);

  test("patterns are relative to the project; files come sorted, each once", () => {
    expect(sourcesFor(`["*.yaml"]`)).toEqual(["a.yaml"]);
    expect(sourcesFor(`["./*.{yaml,yml}", "*.yaml"]`)).toEqual(["a.yaml", "b.yml"]);
    expect(sourcesFor(`["one/**/*.yaml"]`)).toEqual(["one/.hidden/e.yaml", "one/c.yaml", "one/two/d.yaml"]);
    expect(sourcesFor(`["one/*.yaml", "a.yaml"]`)).toEqual(["a.yaml", "one/c.yaml"]);
  });

  test("without them, every YAML file below but those of packages", () => {
    const files = { ...below("[]"), "/plant/project.yaml": "kind: project\nformat: 1\ntitle: Plant\n" };
    expect(pathsOf(files).slice(1)).toEqual(["a.yaml", "b.yml", "one/.hidden/e.yaml", "one/c.yaml", "one/two/d.yaml"]);
  });

  test.each(["../*.yaml", "/plant/*.yaml", "one/../../*.yaml", "{a,..}/*.yaml", "C:/x.yaml"])(
    "%s leads out",
    (pattern) => {
      const { files, findings } = open(below(JSON.stringify([pattern])));
      expect(findings.map(({ code }) => code)).toEqual(["project/source-outside"]);
      expect(files.map(({ path }) => path)).toEqual(["project.yaml"]);
    },
  );

  test("a pattern that matches nothing is said at its place", () => {
    const [finding] = open(below(`["*.yaml", "cards/*.yaml"]`)).findings;
    expect(finding?.code).toBe("project/source-matches-nothing");
    expect(finding?.at.file.text.slice(finding.at.start, finding.at.end)).toContain("cards/*.yaml");
  });
});

test("a file or a folder that may not be read is refused", () => {
  const host = memoryHost({ "/plant/project.yaml": PROJECT(`["cards/*.yaml"]`), "/plant/cards/a.yaml": CARD });
  const denied = (): never => {
    throw Object.assign(new Error("no"), { code: "EACCES" });
  };
  const closedFile = { ...host, read: (path: string) => (path.endsWith("a.yaml") ? denied() : host.read(path)) };
  const closedFolder = { ...host, list: (path: string) => (path.endsWith("cards") ? denied() : host.list(path)) };
  expect(reason(() => openWorkspace(closedFile, "/plant", []))).toBe(
    "`cards/a.yaml` cannot be read: permission denied",
  );
  expect(reason(() => openWorkspace(closedFolder, "/plant", []))).toBe("`cards` cannot be read: permission denied");
});

describe("on a real disk", () => {
  let root: string;
  beforeEach(() => {
    root = mkdtempSync(join(tmpdir(), "proofcard-"));
    write("plant/project.yaml", PROJECT(`["**/*.yaml"]`));
    write("plant/cards/a.yaml", CARD);
  });
  afterEach(() => rmSync(root, { recursive: true, force: true }));

  function write(path: string, text: string | Uint8Array): void {
    mkdirSync(dirname(join(root, path)), { recursive: true });
    writeFileSync(join(root, path), text);
  }
  const link = (target: string, path: string): void => symlinkSync(target, join(root, path));
  const openIt = () => openWorkspace(nodeHost, join(root, "plant"), []);
  const paths = (): string[] => openIt().files.map((file) => file.path);

  test("links within the project are followed, and each file is read once", () => {
    link("../cards", "plant/cards/again");
    link("a.yaml", "plant/cards/b.yaml");
    link(".", "plant/round");
    expect(paths()).toEqual(["project.yaml", "cards/a.yaml"]);
  });

  test("a link to a folder that only it leads to", () => {
    write("plant/store.d/x.yaml", CARD);
    write("plant/project.yaml", PROJECT(`["systems/*.yaml"]`));
    link("store.d", "plant/systems");
    expect(paths()).toEqual(["project.yaml", "systems/x.yaml"]);
  });

  test.each<[string, string, () => void]>([
    ["a broken link", "`cards/b.yaml` is a link that leads nowhere", () => link("gone.yaml", "plant/cards/b.yaml")],
    [
      "a link round in a circle",
      "`cards/b.yaml` is a link that leads nowhere",
      () => link("b.yaml", "plant/cards/b.yaml"),
    ],
    [
      "a link to a file outside",
      "`cards/b.yaml` is a link to a file outside the project",
      () => {
        write("out.yaml", CARD);
        link("../../out.yaml", "plant/cards/b.yaml");
      },
    ],
    [
      "a link to a folder outside",
      "`shared` is a link to a folder outside the project",
      () => {
        write("out/b.yaml", CARD);
        link("../out", "plant/shared");
      },
    ],
    [
      "a folder with the name of a file",
      "`cards/x.yaml` is a folder with the name of a file",
      () => mkdirSync(join(root, "plant/cards/x.yaml")),
    ],
  ])("%s is refused, not passed over", (_, message, make) => {
    make();
    expect(reason(openIt)).toBe(message);
  });

  test("bytes that are not UTF-8 are a finding at their file; a byte order mark is none", () => {
    write("plant/cards/a.yaml", Uint8Array.of(0x6b, 0xff, 0xfe));
    write("plant/cards/b.yaml", `\uFEFF${CARD}`);
    expect(openIt().findings.map(({ code, at }) => [code, at.file.path])).toEqual([["file/not-utf8", "cards/a.yaml"]]);
    expect(openIt().files.at(-1)?.text).toBe(CARD);
  });
});
