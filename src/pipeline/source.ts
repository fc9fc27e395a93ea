/** A file's name, as its user wrote it, and what stands in it. */
export interface SourceFile {
  readonly name: string;
  readonly content: Uint8Array;
  /** SHA-256 of the content in hexadecimal, where whoever read it has it already. */
  readonly sha256?: string;
}

/** SHA-256 of a file's bytes in hexadecimal: later it can be shown which readings a result rests on. */
export async function sha256Of({ content, sha256 }: SourceFile): Promise<string> {
  if (sha256 !== undefined) return sha256;
  const digest = await crypto.subtle.digest('SHA-256', Uint8Array.from(content));
  return Array.from(new Uint8Array(digest), (byte) => byte.toString(16).padStart(2, '0')).join('');
}
