/** The element that the page's markup promises under an id. */
export function byId<Kind extends HTMLElement>(id: string, kind: new () => Kind): Kind {
  const element = document.getElementById(id);
  if (!(element instanceof kind)) throw new Error(`the page has no ${id}`);
  return element;
}

/** The same where a sheet may do without. */
export function perhaps<Kind extends HTMLElement>(id: string, kind: new () => Kind): Kind | null {
  return document.getElementById(id) === null ? null : byId(id, kind);
}

/** Elements by what their data attribute says, such as every `data-jump`. */
export function byData(name: string): ReadonlyMap<string, HTMLElement | SVGElement> {
  const found = document.querySelectorAll<HTMLElement | SVGElement>(`[data-${name}]`);
  return new Map([...found].map((element) => [element.dataset[name] ?? '', element]));
}

/** Puts text where it is not there yet: a live region is read out again only when it changes. */
export function say(element: Element, text: string): void {
  if (element.textContent !== text) element.textContent = text;
}

/** Calls when a button is pressed, whichever way. */
export function onPress(button: HTMLElement | null, press: () => void): void {
  button?.addEventListener('click', press);
}
