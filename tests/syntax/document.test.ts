import { describe, expect, test } from "vitest";
import { parseDocument } from "../../src/syntax/parse.js";
import { entry } from "../../src/syntax/tree.js";

const CARD = "kind: procedure\ntitle: Lower the pond\ncategory: normal\nsteps:\n  - do: Open the gate\n";

describe("a document", () => {
  test("is called by its id, and by its file's name where it has none", () => {
    const named = parseDocument({ path: "cards/lower.yaml", text: `id: lower-the-pond\n${CARD}` }).value!;
    const unnamed = parseDocument({ path: "cards/lower.yaml", text: CARD }).value!;
    expect([named.kind, named.id, named.root.span.file.text.slice(named.idSpan.start, named.idSpan.end)]).toEqual([
      "procedure",
      "lower-the-pond",
      "lower-the-pond",
    ]);
    expect(unnamed.id).toBe("lower");
  });

  test("keeps its keys in the order of the source", () => {
    const { root } = parseDocument({ path: "a.yaml", text: `10: a\n2: b\n${CARD}` }).value!;
    expect(root.entries.map(({ key }) => key.text)).toEqual(["10", "2", "kind", "title", "category", "steps"]);
  });

  test.each(["6.10", "1E3", "007", "0x1F", "on", "no", "true", "2026-11-25", "12:30", "1_000", ".inf", "=", "+1"])(
    "keeps `%s` as it is written",
    (written) => {
      const { value, findings } = parseDocument({ path: "a.yaml", text: CARD.replace("Lower the pond", written) });
      expect(findings).toEqual([]);
      expect(entry(value!.root, "title")?.value).toMatchObject({ kind: "scalar", text: written, style: "plain" });
    },
  );

  test("is there with its holes where a part has the wrong shape", () => {
    const { value, findings } = parseDocument({ path: "a.yaml", text: `${CARD}begins: soon\nends:\n` });
    expect(findings.map(({ code }) => code)).toEqual(["shape/wrong-value", "yaml/empty-value"]);
    expect(entry(value!.root, "begins")?.value).toMatchObject({ text: "soon" });
    expect(entry(value!.root, "ends")).toBeUndefined();
  });

  test("is not there where the file has no kind", () => {
    expect(parseDocument({ path: "a.yaml", text: "title: Lower the pond\n" }).value).toBeUndefined();
  });
});
