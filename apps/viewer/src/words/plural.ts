/** A number with the noun it counts: `1 run`, `2,000 runs`. */
export function plural(count: number, one: string, more = `${one}s`): string {
  return `${count.toLocaleString('en')} ${count === 1 ? one : more}`
}
