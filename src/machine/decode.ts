/** A file's text, or what kept it from being one, in words. */
export type Decoded =
  | { readonly text: string }
  | {
      readonly code: 'empty-file' | 'not-text';
      readonly problem: string;
      readonly line: number;
      readonly hint: string;
    };

const SAVE_AS_TEXT = 'Save the machine file as plain text (UTF-8), for example from a text editor.';

/** The text of a machine file: UTF-8, or UTF-16 where a byte-order mark says so. */
export function decode(content: Uint8Array): Decoded {
  const encoding = encodingOf(content);
  try {
    const text = new TextDecoder(encoding, { fatal: true }).decode(content);
    const zero = text.indexOf('\0');
    if (zero >= 0)
      return notText('the file is not text: it has zero bytes in it', text.slice(0, zero));
    if (text.trim() !== '') return { text };
    const hint = 'Describe the machine in it: name, [block] and [adjusters] are required.';
    return { code: 'empty-file', problem: 'the file is empty', line: 1, hint };
  } catch {
    // The forgiving decoder puts this character in place of the first faulty byte.
    const [before = ''] = new TextDecoder(encoding).decode(content).split('\ufffd');
    return notText(`the file is not valid ${encoding.toUpperCase()}`, before);
  }
}

function notText(problem: string, before: string): Decoded {
  const line = before.split('\n').length;
  return { code: 'not-text', problem, line, hint: SAVE_AS_TEXT };
}

function encodingOf(content: Uint8Array): string {
  if (content[0] === 0xff && content[1] === 0xfe) return 'utf-16le';
  if (content[0] === 0xfe && content[1] === 0xff) return 'utf-16be';
  return 'utf-8';
}
