// A pack: the files that a kernel finds, and its memory as it was when it had once started, in one
// file (pack.py beside this folder writes it). In it, compressed by gzip: the length of an index, the
// index, each file's bytes, and the memory.

/** Read a pack from a stream of its bytes; give its files, name to bytes, and its memory, null if none. */
export async function readPack(stream) {
  const whole = await new Response(stream.pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
  const length = new DataView(whole).getUint32(0, true);
  const { files, memory } = JSON.parse(new TextDecoder().decode(new Uint8Array(whole, 4, length)));
  let at = 4 + length;
  const take = (size) => new Uint8Array(whole, (at += size) - size, size);
  const found = files.map(([name, size]) => [name, take(size)]);
  at = Math.ceil(at / 16) * 16; // where the memory begins, so that it can be read as words
  return { files: found, memory: memory ? take(memory) : null };
}
