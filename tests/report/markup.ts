/** One start tag of a page, as a reader of HTML takes it apart. */
export interface Tag {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
}

const ENTITIES: Readonly<Record<string, string>> = {
  '&lt;': '<',
  '&gt;': '>',
  '&quot;': '"',
  '&#39;': "'",
  '&amp;': '&',
};

/** Text with its entities read. */
export function readEntities(text: string): string {
  return text.replace(/&(?:lt|gt|quot|#39|amp);/g, (entity) => ENTITIES[entity]!);
}

/** Every start tag of a text of markup outside of scripts and styles, whose texts are left out. */
export function tagsOf(markup: string): Tag[] {
  const bare = markup.replace(/(<(script|style)\b[^>]*>).*?(<\/\2>)/gs, '$1$3');
  return [...bare.matchAll(/<([a-z][a-z0-9]*)((?:\s+[\w-]+(?:="[^"]*")?)*)\s*\/?>/gi)].map(
    ([, name, attributes]) => ({
      name: name!.toLowerCase(),
      attributes: Object.fromEntries(
        [...attributes!.matchAll(/([\w-]+)(?:="([^"]*)")?/g)].map(([, key, value]) => [
          key!,
          readEntities(value ?? ''),
        ]),
      ),
    }),
  );
}

/** What stands between each pair of tags of a name. */
export function textsWithin(markup: string, name: string): string[] {
  const found = markup.matchAll(new RegExp(`<${name}\\b[^>]*>(.*?)</${name}>`, 'gs'));
  return [...found].map((match) => match[1]!);
}
