/** Decoded messages as plain data: for JSON, and for lines that nobody has laid out by hand. */
import type { SignalValue } from '@firstcrank/decoder'
import type { Json } from './json.js'
import { hex } from './text.js'
import { valueText } from './value-form.js'

/** Whatever the decoder says of a message as JSON: bytes in hexadecimal, definitions left out. */
export function plain(value: unknown): Json {
  if (value instanceof Uint8Array) return bytesText(value)
  if (Array.isArray(value)) return value.map(plain)
  if (value === null || typeof value !== 'object') return value as Json
  const entries = Object.entries(value).filter(([key]) => key !== 'definition')
  return Object.fromEntries(entries.map(([key, item]) => [key, plain(item)]))
}

/** The same in indented lines: `active count: 2`. */
export function plainLines(value: object, indent: string): string[] {
  return Object.entries(value).flatMap(([key, item]) => {
    const label = `${indent}${words(key)}:`
    if (isSignalValue(item)) return [`${indent}${item.name} (SPN ${item.spn}): ${valueText(item)}`]
    if (item instanceof Uint8Array) return [`${label} ${bytesText(item) || 'none'}`]
    if (Array.isArray(item)) return listLines(label, item, indent)
    if (item === null || typeof item !== 'object') return [`${label} ${wordOf(item)}`]
    return [label, ...plainLines(item, `${indent}  `)]
  })
}

function listLines(label: string, items: readonly unknown[], indent: string): string[] {
  if (items.length === 0) return [`${label} none`]
  const lines = items.flatMap((item) => {
    if (item === null || typeof item !== 'object') return [`${indent}  - ${wordOf(item)}`]
    if (Object.values(item).every((part) => part === null || typeof part !== 'object')) {
      const parts = Object.entries(item).map(([key, part]) => `${words(key)} ${wordOf(part)}`)
      return [`${indent}  - ${parts.join(', ')}`]
    }
    return plainLines(item, `${indent}    `).map((line, at) => (at === 0 ? `${indent}  - ${line.trimStart()}` : line))
  })
  return [label, ...lines]
}

function isSignalValue(value: unknown): value is SignalValue {
  return typeof value === 'object' && value !== null && 'definition' in value && 'status' in value
}

function wordOf(value: unknown): string {
  if (value === null) return 'not available'
  if (value === true) return 'yes'
  return value === false ? 'no' : String(value)
}

function words(key: string): string {
  return key.replace(/[A-Z]/g, (letter) => ` ${letter.toLowerCase()}`)
}

/** Bytes in hexadecimal. */
export function bytesText(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => hex(byte)).join('')
}
