// Control characters, soft hyphen, Arabic letter mark, Mongolian separator, zero-width and direction marks, word joiners, BOM.
const INVISIBLE =
  /[\u007f-\u0084\u0086-\u009f\u00ad\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u206f\ufeff]/g;
// Every kind of space; only a line end within a quoted cell stays what it is.
const SPACES = /[^\S\n]|\u0085/g;

/** Text as it looks: each kind of space a plain one, zero-width and direction marks gone, trimmed. */
export function plainText(text: string): string {
  return text.replace(INVISIBLE, '').replace(SPACES, ' ').trim();
}
