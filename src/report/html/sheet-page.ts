import type { Plan } from '../../record/plan.js';
import { embeddedJson, html, raw } from './markup.js';
import { paper } from './paper.js';
import { sheetCss } from './sheet-css.js';
import type { SheetData } from './sheet-data.js';
import { typing } from './typing.js';

/** The page's program and the hash by which its policy lets it and nothing else run. */
export interface SheetScript {
  readonly text: string;
  readonly hash: string;
}

/** What the page's own style and script are hashed over: each exactly as it stands in the page. */
export interface SheetParts {
  readonly script: SheetScript;
  /** Of `sheetCss()`. */
  readonly styleHash: string;
}

/**
 * A measurement sheet as one page that needs nothing else: to print, or to type into. It may run its
 * own program and show its own style, known by their hashes (`sha256-…`), and load nothing at all.
 *
 * @see https://www.w3.org/TR/CSP3/ for the policy
 */
export function sheetPage(data: SheetData, plan: Plan, { script, styleHash }: SheetParts): string {
  const policy = [
    "default-src 'none'",
    `script-src '${script.hash}'`,
    `style-src '${styleHash}'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ');
  const { markup } = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${raw(policy)}">
<meta name="viewport" content="width=device-width, initial-scale=1, interactive-widget=resizes-content">
<title>Measurement sheet: ${data.machine.name}</title>
<style>${raw(sheetCss())}</style>
</head>
<body>
<main>
${typing(data, plan)}
${paper(data, plan)}
</main>
<script type="application/json" id="data">${embeddedJson(data)}</script>
<script>${raw(script.text)}</script>
</body>
</html>
`;
  return markup;
}
