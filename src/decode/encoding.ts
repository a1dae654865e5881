/**
 * Makes the bytes of a text ASCII-compatible: takes off a UTF-8 mark and rewrites UTF-16 (told by its mark,
 * or by the zeros that ASCII leaves in every second byte) as UTF-8. Other bytes pass unchanged, Latin-1 too:
 * digits and delimiters are the same bytes there.
 */
export async function* toByteText(chunks: AsyncIterable<Uint8Array>): AsyncGenerator<Uint8Array> {
  let decoder: TextDecoder | null = null;
  const encoder = new TextEncoder();
  let start = new Uint8Array(0);
  let decided = false;
  for await (const chunk of chunks) {
    let bytes = chunk;
    if (!decided) {
      bytes = start.length === 0 ? chunk : Buffer.concat([start, chunk]);
      if (bytes.length < 4) {
        start = Uint8Array.from(bytes);
        continue;
      }
      decided = true;
      decoder = utf16Decoder(bytes);
      if (bytes[0] === 0xef && bytes[1] === 0xbb && bytes[2] === 0xbf) bytes = bytes.subarray(3);
    }
    yield decoder ? encoder.encode(decoder.decode(bytes, { stream: true })) : bytes;
  }
  if (!decided) yield start;
  else if (decoder) yield encoder.encode(decoder.decode());
}

function utf16Decoder(bytes: Uint8Array): TextDecoder | null {
  const [a, b, c, d] = bytes;
  if ((a === 0xff && b === 0xfe) || (a !== 0 && b === 0 && c !== 0 && d === 0))
    return new TextDecoder("utf-16le");
  if ((a === 0xfe && b === 0xff) || (a === 0 && b !== 0 && c === 0 && d !== 0))
    return new TextDecoder("utf-16be");
  return null;
}
