/** Plain text for people: numbers, tables and wrapped lines, at most about 100 characters wide. */

/** Longest line of wrapped text. */
const WIDTH = 100

/** A whole number with separators: `51,781`. */
export function count(value: number): string {
  return String(value).replace(/\B(?=(\d{3})+$)/g, ',')
}

/** A number and what it counts: `1 frame`, `2 frames`. */
export function plural(value: number, one: string, many = `${one}s`): string {
  return `${count(value)} ${value === 1 ? one : many}`
}

/** A share as a percentage: 0.4734 is `47.3 %`. */
export function percent(share: number): string {
  return `${(share * 100).toFixed(1)} %`
}

/** Words in a row: `a, b and c`. */
export function listing(words: readonly string[]): string {
  if (words.length < 2) return words.join('')
  return `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`
}

/** The first few of a row of words, and how many more there are: `a, b and 3 more`. */
export function firstFew(words: readonly string[], most: number): string {
  if (words.length <= most) return listing(words)
  return `${words.slice(0, most).join(', ')} and ${words.length - most} more`
}

/** A sentence's first letter in upper case. */
export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1)
}

/** Text cut to a width. */
export function cut(text: string, width: number): string {
  const characters = Array.from(text)
  return characters.length <= width ? text : `${characters.slice(0, width - 1).join('')}…`
}

/** Hexadecimal digits, at least so many. */
export function hex(value: number, digits = 2): string {
  return value.toString(16).toUpperCase().padStart(digits, '0')
}

/** One column of a {@link table}. */
export interface Column {
  readonly title: string
  readonly align?: 'left' | 'right'
  /** Width at least. */
  readonly least?: number
  /** Longer cells are cut. */
  readonly most?: number
}

/** Lines of a table, its titles first. Columns are as wide as their widest cell. */
export function table(columns: readonly Column[], rows: readonly (readonly string[])[], indent = '  '): string[] {
  const cells = [columns.map(({ title }) => title), ...rows].map((row) =>
    columns.map(({ most }, at) => cut(row[at] ?? '', most ?? WIDTH)),
  )
  const widths = columns.map(({ least = 0 }, at) => Math.max(least, ...cells.map((row) => lengthOf(row[at] ?? ''))))
  return cells.map((row) => {
    const parts = row.map((cell, at) => pad(cell, widths[at] ?? 0, columns[at]?.align))
    return `${indent}${parts.join('  ')}`.trimEnd()
  })
}

/** A text filled up with blanks. */
export function pad(text: string, width: number, align: 'left' | 'right' = 'left'): string {
  const blanks = ' '.repeat(Math.max(0, width - lengthOf(text)))
  return align === 'left' ? text + blanks : blanks + text
}

/** A blank where a line may be broken: not between a number and its unit. */
const BREAK = / (?!(?:s|ms|min|h|d|%|kbit\/s)(?![\w]))/

/** Text in lines, broken between words; every line begins with the indent. */
export function wrap(text: string, indent = '', width: number = WIDTH): string[] {
  const lines: string[] = []
  let line = indent
  for (const word of text.split(BREAK)) {
    const extended = line === indent ? line + word : `${line} ${word}`
    if (lengthOf(extended) > width && line !== indent) {
      lines.push(line)
      line = indent + word
    } else {
      line = extended
    }
  }
  return [...lines, line]
}

/** A label in front, the text beside it, further lines under the text. */
export function labelled(label: string, text: string, width = 14): string[] {
  const lines = wrap(text, ' '.repeat(width))
  return lines.map((line, at) => (at === 0 ? pad(label, width) + line.slice(width) : line))
}

function lengthOf(text: string): number {
  return Array.from(text).length
}
