import { createHash } from "node:crypto";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { htmlCard } from "../../src/emit/html/card.js";
import { fontStyle } from "../../src/emit/html/faces.js";
import { CARD_STYLE } from "../../src/emit/html/style.js";
import { indexPage } from "../../src/emit/index-page.js";
import { contrast, luminance } from "../../src/emit/layout/contrast.js";
import { loadWebFaces } from "../../src/workspace/fonts.js";
import { set, step } from "../support/anser-program.js";
import { cardOf } from "../support/cards.js";

const EVIL = `<script>alert(1)</script><img src=x onerror=alert(1)>"' onload="x" &amp; </style>`;

/** Tags and attributes of a page, found by a scanner of their syntax (HTML Living Standard, 13.1.2), not by our own escaping. */
function tagsOf(html: string): readonly { readonly name: string; readonly attributes: string }[] {
  return [
    ...html.matchAll(/<([a-zA-Z][a-zA-Z0-9]*)((?:\s+[^\s=>"']+(?:\s*=\s*(?:"[^"]*"|'[^']*'|[^\s>"']+))?)*)\s*\/?>/g),
  ].map(([, name = "", attributes = ""]) => ({ name: name.toLowerCase(), attributes }));
}

describe("a card as HTML", () => {
  test("escapes every text, wherever it stands", () => {
    const card = cardOf(
      [
        set(["breaker"], "open", {
          warning: EVIL,
          note: EVIL,
          added: EVIL,
          words: { challenge: EVIL, response: EVIL },
        }),
        step({
          kind: "section",
          title: EVIL,
          steps: [
            step({ kind: "say", lines: [{ who: "eng", text: EVIL }] }),
            step({ kind: "set-aside", text: EVIL }),
            step({ kind: "go-to", procedure: EVIL }),
          ],
        }),
      ],
      { id: EVIL, title: EVIL, category: EVIL, useWhen: EVIL, summary: EVIL },
    );
    const tags = tagsOf(htmlCard(card));
    expect(tags.filter(({ name }) => name === "script" || name === "img")).toEqual([]);
    expect(tags.filter(({ attributes }) => /\son[a-z]+\s*=/i.test(attributes.replace(/"[^"]*"/g, '""')))).toEqual([]);
    expect(htmlCard(card).match(/<\/style>/g)).toHaveLength(1);
  });

  test("any text leaves the same tags as a plain one", () => {
    const shape = (text: string) =>
      tagsOf(
        htmlCard(
          cardOf([set(["breaker"], "open", { name: "a", warning: text, words: { challenge: text, response: text } })]),
        ),
      ).map(({ name }) => name);
    const plain = shape("x");
    fc.assert(
      fc.property(fc.string({ minLength: 1, unit: "grapheme-composite" }), (text) => {
        expect(shape(`x${text}`)).toEqual(plain);
      }),
      { numRuns: 200 },
    );
  });

  test("lets in its own style by its hash, and nothing from outside (Content Security Policy Level 3)", () => {
    const html = htmlCard(cardOf([set(["breaker"], "open")]), { fontStyle: fontStyle(loadWebFaces()) });
    const policy = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(html)?.[1] ?? "";
    const style = /<style>([\s\S]*?)<\/style>/.exec(html)?.[1] ?? "";
    expect(policy).toContain("default-src &#39;none&#39;");
    expect(policy).toContain(`sha256-${createHash("sha256").update(style).digest("base64")}`);
    expect(policy).not.toMatch(/unsafe|https?:|\*/);
    expect(html).not.toMatch(/\b(?:src|href)="(?!#|[\w.-]+\.html")/);
    expect(html).not.toMatch(/\sstyle="/);
    expect(style).toContain("data:font/woff2;base64,");
  });

  test("reads challenge, then response, in order, with headings and a list", () => {
    const html = htmlCard(
      cardOf([
        step({ kind: "section", title: "First", steps: [set(["breaker"], "open"), set(["cooling-pump.port"], "off")] }),
      ]),
    );
    const text = html
      .replace(/[\s\S]*<body>/, "")
      .replace(/<[^>]*>/g, " ")
      .replace(/\s+/g, " ");
    expect(text).toContain("GEN BREAKER OPEN");
    expect(text.indexOf("GEN BREAKER OPEN")).toBeLessThan(text.indexOf("COOLING PUMP 1 OFF"));
    const names = tagsOf(html).map(({ name }) => name);
    expect(names.filter((name) => name === "h1")).toHaveLength(1);
    expect(names.filter((name) => name === "h2")).toHaveLength(1);
    expect(names.filter((name) => name === "ol").length).toBeGreaterThanOrEqual(2);
  });

  test("every field and box has a name for those who cannot see it", () => {
    const html = htmlCard(
      cardOf([
        set(["breaker"], "open"),
        step({ kind: "record", gauge: "oil" }),
        step({ kind: "wait", milliseconds: 120000 }),
      ]),
    );
    const fields = tagsOf(html).filter(({ name, attributes }) => name === "input" && !attributes.includes("radio"));
    expect(fields.length).toBeGreaterThanOrEqual(4);
    for (const { attributes } of fields) expect(attributes).toMatch(/aria-label="[^"]+"/);
  });

  test("DRAFT stands in the page, in words too", () => {
    expect(htmlCard(cardOf([], {}, { draft: true })).match(/DRAFT/g)?.length).toBeGreaterThanOrEqual(2);
    expect(htmlCard(cardOf([]))).not.toContain(">DRAFT<");
  });
});

describe("the night theme", () => {
  const night = /body:has\(#theme-night:checked\)\{([^}]*)\}/.exec(CARD_STYLE)?.[1] ?? "";
  const colour = (name: string) => new RegExp(`--${name}:(#[0-9a-f]{6})`).exec(night)?.[1] ?? "";

  test("its text stands out from its paper by 4.5 to 1, its rules by 3 to 1 (WCAG 2), and the paper is dark", () => {
    for (const name of ["ink", "quiet"]) expect(contrast(colour(name), colour("paper"))).toBeGreaterThanOrEqual(4.5);
    for (const name of ["rule", "dot"]) expect(contrast(colour(name), colour("paper"))).toBeGreaterThanOrEqual(3);
    expect(luminance(colour("paper"))).toBeLessThan(0.01);
  });
});

describe("the index page", () => {
  test("links to files below it, whatever their names", () => {
    const files = ["cards/a b.pdf", "../../etc/passwd", "javascript:alert(1)", "//example.org/x"].map((path) => ({
      label: EVIL,
      path,
    }));
    const html = indexPage({
      title: EVIL,
      draft: true,
      cautions: [EVIL],
      files,
      entries: [{ id: EVIL, title: EVIL, category: EVIL, system: EVIL, files }],
    });
    const links = [...html.matchAll(/href="([^"]*)"/g)].map(([, href]) => href);
    expect([...new Set(links)]).toEqual(["cards/a%20b.pdf", "etc/passwd", "javascript%3Aalert(1)", "example.org/x"]);
    expect(tagsOf(html).some(({ name }) => name === "script" || name === "img")).toBe(false);
  });
});
