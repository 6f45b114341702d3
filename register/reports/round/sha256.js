// SHA-256 (FIPS 180-4): a page opened from a file has crypto.subtle in some browsers only.
const ROUND_CONSTANTS = (() => {
  const roots = [], isPrime = (n) => { for (let d = 2; d * d <= n; d++) if (n % d === 0) return false; return true; };
  for (let n = 2; roots.length < 64; n++) if (isPrime(n)) roots.push((Math.cbrt(n) % 1) * 2 ** 32 | 0);
  return new Int32Array(roots);
})();

function sha256(bytes) {
  const state = new Int32Array([0x6a09e667, 0xbb67ae85, 0x3c6ef372, 0xa54ff53a, 0x510e527f, 0x9b05688c, 0x1f83d9ab, 0x5be0cd19]);
  const length = bytes.length, whole = length - (length % 64), last = new Uint8Array(length % 64 < 56 ? 64 : 128);
  last.set(bytes.subarray(whole));
  last[length % 64] = 0x80;
  const view = new DataView(last.buffer);
  view.setUint32(last.length - 8, Math.floor(length / 2 ** 29));
  view.setUint32(last.length - 4, (length << 3) >>> 0);
  const words = new Int32Array(64);
  for (let at = 0; at < whole; at += 64) sha256Block(state, words, bytes, at);
  for (let at = 0; at < last.length; at += 64) sha256Block(state, words, last, at);
  return [...state].map((word) => (word >>> 0).toString(16).padStart(8, "0")).join("");
}

function sha256Block(state, w, bytes, at) {
  for (let i = 0; i < 16; i++, at += 4) w[i] = bytes[at] << 24 | bytes[at + 1] << 16 | bytes[at + 2] << 8 | bytes[at + 3];
  for (let i = 16; i < 64; i++) {
    const x = w[i - 15], y = w[i - 2];
    const low = (x >>> 7 | x << 25) ^ (x >>> 18 | x << 14) ^ x >>> 3, high = (y >>> 17 | y << 15) ^ (y >>> 19 | y << 13) ^ y >>> 10;
    w[i] = w[i - 16] + low + w[i - 7] + high | 0;
  }
  let [a, b, c, d, e, f, g, h] = state;
  for (let i = 0; i < 64; i++) {
    const one = (e >>> 6 | e << 26) ^ (e >>> 11 | e << 21) ^ (e >>> 25 | e << 7);
    const t = h + one + (e & f ^ ~e & g) + ROUND_CONSTANTS[i] + w[i] | 0;
    const zero = (a >>> 2 | a << 30) ^ (a >>> 13 | a << 19) ^ (a >>> 22 | a << 10);
    h = g; g = f; f = e; e = d + t | 0; d = c; c = b; b = a; a = t + zero + (b & c ^ b & d ^ c & d) | 0;
  }
  [a, b, c, d, e, f, g, h].forEach((word, i) => { state[i] = state[i] + word | 0; });
}
