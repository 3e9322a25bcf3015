/** Numbers, times and sentences as a person reads them, in the units asked for. */
import type { Unit } from '@firstcrank/decoder/catalog'
import { LIMITS, type LimitId } from '../limits.js'
import type { Limit, Measure, Span } from '../model.js'
import type { RecordingFacts } from '../report.js'
import { shownDifference, shownUnit, shownValue, type UnitSystem, US_UNITS } from '../units.js'

/** How a report is to be shown. */
export interface RenderOptions {
  /** Default `metric`. */
  readonly units?: UnitSystem
  /** Of text: characters in a line. Default 80. */
  readonly width?: number
}

/** Digits behind the point that a unit is worth, where no uncertainty says so. */
const DIGITS: Readonly<Record<string, number>> = {
  V: 2,
  A: 0,
  s: 1,
  ms: 0,
  rpm: 0,
  count: 0,
  '%': 1,
  '°C': 1,
  '°F': 0,
  kPa: 0,
  psi: 1,
  MPa: 1,
  'kg/h': 1,
  'lb/h': 1,
  'L/h': 2,
  'gal/h': 2,
  ratio: 2,
  N·m: 0,
  lb·ft: 0,
  'km/h': 0,
  mph: 0,
  in: 2,
}
const OTHER_DIGITS = 1
/** Units that say nothing beside the number. */
const SILENT_UNITS: ReadonlySet<string> = new Set(['count', 'ratio'])

/** A unit as it stands behind a number and a blank; part of a regular expression. */
export const UNIT_WORD = '(?:V|A|s|min|h|kPa|psi|MPa|°C|°F|%|rpm|Ω|mm|in|kg/h|lb/h|L/h|gal/h|km/h|mph)(?![\\w/])'

/** Limits that need no more than their figure to be understood. */
const PLAIN_LIMITS: ReadonlySet<string> = new Set([
  'pass-from',
  'pass-to',
  'pass-below',
  'caution-from',
  'caution-to',
  'none',
])

/** A number with a true minus sign and commas between thousands; a zero has no sign. */
export function numberText(value: number, digits: number): string {
  const fixed = Math.abs(value).toFixed(digits)
  const [whole = '', fraction] = fixed.split('.')
  const grouped = whole.replace(/\B(?=(\d{3})+$)/g, ',')
  const text = fraction === undefined ? grouped : `${grouped}.${fraction}`
  return value < 0 && Number(fixed) !== 0 ? `−${text}` : text
}

/** Shows the values of one report. */
export class Values {
  readonly units: UnitSystem
  readonly #origin: number
  readonly #dated: boolean
  readonly #nodes: RecordingFacts['nodes']

  constructor(
    { from, dated, nodes = [] }: Pick<RecordingFacts, 'from' | 'dated'> & Partial<Pick<RecordingFacts, 'nodes'>>,
    { units = 'metric' }: RenderOptions = {},
  ) {
    this.units = units
    this.#origin = from
    this.#dated = dated
    this.#nodes = nodes
  }

  /** Time since the recording's first frame: minutes, seconds, tenths, such as `12:04.5`. */
  time(micros: number): string {
    return clock(micros - this.#origin)
  }

  /** `0:13.2 to 0:18.1`, or one time where both are the same tenth. */
  span({ from, to }: Span): string {
    const [start, end] = [this.time(from), this.time(to)]
    return start === end ? start : `${start} to ${end}`
  }

  /** What the report calls the node at an address; undefined where it was not heard. */
  node(sa: number): string | undefined {
    return this.#nodes.find((node) => node.sa === sa)?.title
  }

  /** How long a span lasts: `5 min 18 s`. */
  length({ from, to }: Span): string {
    return lengthText(to - from)
  }

  /** Date and time of day in UTC; null where the recording has none. */
  date(micros: number): string | null {
    if (!this.#dated) return null
    return `${new Date(micros / 1000).toISOString().slice(0, 19).replace('T', ' ')} UTC`
  }

  /** A value with its unit. */
  value(value: number, unit: Unit, kind: Pick<Measure, 'per' | 'difference'> = {}): string {
    return this.#withUnit(this.#shown(value, unit, kind), unit, kind)
  }

  /** A measure with its uncertainty and unit; `–` where there is none. */
  measure(measure: Measure | null): string {
    if (measure === null) return '–'
    const { value, unit, uncertainty } = measure
    const number = this.#shown(value, unit, measure)
    if (uncertainty === null || uncertainty === 0) return this.#withUnit(number, unit, measure)
    const spread = shownNumber(uncertainty, unit, true, this.units)
    if (spread === '0') return this.#withUnit(number, unit, measure)
    return this.#withUnit(`${number} ± ${spread}`, unit, measure)
  }

  /** A limit's figure with its unit. */
  limit({ value, unit, per, difference }: Limit): string {
    return this.value(value, unit, { ...(per && { per }), ...(difference && { difference }) })
  }

  /**
   * What passes, where the limits of a check alone say it: `12.5 V or more`, `at most 5 s`. Empty where
   * more goes into it, such as the temperature: then the finding says what was wanted.
   */
  passRange(limits: readonly Limit[]): string {
    const byKind = new Map(limits.map((limit) => [limit.id.slice(limit.id.indexOf('.') + 1), limit]))
    if ([...byKind.keys()].some((kind) => !PLAIN_LIMITS.has(kind))) return ''
    const [from, to, below] = ['pass-from', 'pass-to', 'pass-below'].map((kind) => byKind.get(kind))
    if (from !== undefined && to !== undefined) return `${this.#bare(from)} to ${this.limit(to)}`
    if (from !== undefined) return `${this.limit(from)} or more`
    if (to !== undefined) return `at most ${this.limit(to)}`
    if (below !== undefined) return `below ${this.limit(below)}`
    return byKind.has('none') ? 'none' : ''
  }

  /** A sentence, as {@link sentenceIn} shows it. */
  sentence(text: string): string {
    return sentenceIn(this.units, text)
  }

  #shown(value: number, unit: Unit, { difference }: Pick<Measure, 'difference'>): string {
    return shownNumber(value, unit, difference === true, this.units)
  }

  #bare({ value, unit, difference }: Limit): string {
    return this.#shown(value, unit, difference ? { difference } : {})
  }

  #withUnit(number: string, unit: Unit, { per }: Pick<Measure, 'per'>): string {
    const shown = SILENT_UNITS.has(unit) ? '' : ` ${shownUnit(unit, this.units)}`
    return `${number}${shown}${per === undefined ? '' : ` per ${per}`}`
  }
}

/**
 * A sentence of a report in the units asked for. Its numbers are those of the bus; in other units each gets
 * the converted one beside it, so that the sentence stays the same statement.
 */
export function sentenceIn(units: UnitSystem, text: string): string {
  if (units === 'metric') return text
  return text.replace(
    QUANTITY,
    (found: string, first: string, second: string | undefined, unit: string, offset: number) => {
      const known = unit as keyof typeof US_UNITS
      if (US_UNITS[known] === undefined) return found
      const difference = unit === '°C' && isDifference(text.slice(0, offset), text.slice(offset + found.length))
      const convert = (number: string): string =>
        shownNumber(Number(number.replace('−', '-').replaceAll(',', '')), known, difference, units)
      const both = second === undefined ? convert(first) : `${convert(first)} to ${convert(second)}`
      return `${found} (${both} ${shownUnit(known, units)})`
    },
  )
}

/** A value as it is shown, without its unit. */
function shownNumber(value: number, unit: Unit, difference: boolean, units: UnitSystem): string {
  const shown = difference ? shownDifference(value, unit, units) : shownValue(value, unit, units)
  const text = numberText(shown, DIGITS[shownUnit(unit, units)] ?? OTHER_DIGITS)
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text
}

/** `m:ss.t`, with hours where there are any. */
export function clock(micros: number): string {
  const tenths = Math.round(Math.abs(micros) / 100_000)
  const seconds = `${String(Math.floor(tenths / 10) % 60).padStart(2, '0')}.${tenths % 10}`
  const minutes = Math.floor(tenths / 600)
  const sign = micros < 0 && tenths > 0 ? '−' : ''
  if (minutes < 60) return `${sign}${minutes}:${seconds}`
  return `${sign}${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}:${seconds}`
}

/** A length of time as a person says it: `12.3 s`, `5 min 18 s`, `1 h 2 min`. */
export function lengthText(micros: number): string {
  const tenths = Math.round(micros / 100_000)
  if (tenths < 600) return `${(tenths / 10).toFixed(1)} s`
  const seconds = Math.round(micros / 1_000_000)
  const minutes = Math.floor(seconds / 60)
  if (minutes < 60) return `${minutes} min ${seconds % 60} s`
  const whole = Math.round(seconds / 60)
  return `${Math.floor(whole / 60)} h ${whole % 60} min`
}

/** What a limit limits, in words; its name where this version does not know it. */
export function limitTitle({ id }: Limit): string {
  return Object.hasOwn(LIMITS, id) ? LIMITS[id as LimitId].what : id
}

/** One number or two, and the unit behind them. */
const NUMBER = '([−-]?\\d[\\d,]*(?:\\.\\d+)?)'
const CONVERTED = Object.keys(US_UNITS)
  .sort((a, b) => b.length - a.length)
  .map((unit) => unit.replace('/', '\\/'))
  .join('|')
const QUANTITY = new RegExp(`${NUMBER}(?: ?(?:to|–|and) ?${NUMBER})? (${CONVERTED})(?![\\w/·])`, 'gu')

/** Words around a temperature that make it a difference of two. */
const DIFFERENCE_BEFORE = /(?:within|by|±|apart|spread(?: of)?|differ\w*(?: by)?|step of)\s*$/i
const DIFFERENCE_AFTER = /^\s*(?:apart|above|below|more|less|higher|lower|warmer|colder|off|each|a minute|per )/i

function isDifference(before: string, after: string): boolean {
  return DIFFERENCE_BEFORE.test(before) || DIFFERENCE_AFTER.test(after)
}
