import { createHash } from "node:crypto";
import { html, type Markup, raw } from "./markup.js";

export interface HtmlPage {
  readonly language: string;
  readonly title: string;
  readonly style: string;
  readonly body: Markup;
}

/**
 * One self-contained file. The policy lets in its own style sheet (by its hash, CSP level 2), the faces and pictures inside the file, and nothing
 * else: no script, no form target, no address outside.
 */
export function htmlPage(page: HtmlPage): string {
  const hash = createHash("sha256").update(page.style, "utf8").digest("base64");
  const policy = `default-src 'none'; style-src 'sha256-${hash}'; font-src data:; img-src data:; base-uri 'none'; form-action 'none'`;
  return html`<!DOCTYPE html>
<html lang="${page.language}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="color-scheme" content="light dark">
<title>${page.title}</title>
<style>${raw(page.style)}</style>
</head>
<body>
${page.body}
</body>
</html>
`.text;
}
