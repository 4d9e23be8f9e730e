/** A random key for one intent. `crypto.randomUUID` is missing on plain-http addresses of a home network. */
export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
}
