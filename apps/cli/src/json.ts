/** JSON with times printed exactly: a number such as 1436509052.2 keeps its six decimals. */
import { exactSeconds } from './time.js'

/** A time or a length of time; printed in seconds with six decimals. */
export class Seconds {
  readonly micros: number

  constructor(micros: number) {
    this.micros = micros
  }
}

/** What can be printed. Fields that are undefined are left out. */
export type Json =
  | null
  | boolean
  | number
  | string
  | Seconds
  | readonly Json[]
  | { readonly [key: string]: Json | undefined }

/** A time, where there is one. */
export function seconds(micros: number | null | undefined): Seconds | null {
  return micros === null || micros === undefined ? null : new Seconds(micros)
}

/** Longest object or list that stays on one line. */
const LINE = 100

/** JSON text, two blanks an indent; what fits on a line stays on one. */
export function toJson(value: Json, indent = ''): string {
  if (value instanceof Seconds) return exactSeconds(value.micros)
  if (value === null || typeof value !== 'object') return JSON.stringify(value)
  const isList = Array.isArray(value)
  const [open, close] = isList ? '[]' : '{}'
  const inner = `${indent}  `
  const parts = isList
    ? (value as readonly Json[]).map((item) => toJson(item, inner))
    : Object.entries(value).flatMap(([key, item]) =>
        item === undefined ? [] : [`${JSON.stringify(key)}: ${toJson(item, inner)}`],
      )
  const line = `${open}${parts.join(', ')}${close}`
  if (line.length <= LINE - indent.length && !line.includes('\n')) return line
  return `${open}\n${parts.map((part) => inner + part).join(',\n')}\n${indent}${close}`
}
