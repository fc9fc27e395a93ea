/** What hurts, and what comes before this tool: shown wherever hands or power come in. */
export const CAUTIONS: readonly string[] = [
  "The machine's manual, local rules and a competent person go before this tool.",
  'Isolate the machine and lock it off before reaching in; prove that it cannot start.',
  'Wear gloves to handle knives; take them off before any power comes on.',
  'Turn the block by its pulley or belt, never by the block or a knife.',
  'All knives, wedge bars and screws in place and tight; worn ones replaced; knives a matched set.',
  'After raising a knife measure how far it projects: never beyond what block and manual allow.',
  "Tighten in the manual's order (commonly from the middle outwards).",
  'Turn the block by hand through a full turn before power comes on.',
  'First run with all guards on, standing aside, with boards no shorter than the manual allows.',
  'Recheck every screw after the first run. A second person checks.',
];
