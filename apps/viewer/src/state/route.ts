/**
 * What is on the screen, as the part of the address after `#`: a link opens the same view again.
 * Times are seconds from the beginning of the recording, so that a link stays short and readable.
 */

/** Views of one recording. */
export const VIEWS = ['sheet', 'notes', 'bus', 'report'] as const

export type View = (typeof VIEWS)[number]

/** Part of the time axis, in seconds from the beginning of the recording. */
export interface Window {
  readonly from: number
  readonly to: number
}

/** What is looked at on the sheet of a run. */
export interface SheetState {
  /** Null is the whole recording. */
  readonly window: Window | null
  /** Name of a preset; null where the plots were chosen one by one, or nothing was chosen. */
  readonly preset: string | null
  /** Signals of each plot, as {@link plotKey} names them; null where a preset says it. */
  readonly plots: readonly (readonly string[])[] | null
  /** Where the cursor was set, and the mark that is measured from. */
  readonly at: number | null
  readonly mark: number | null
  /** What is opened: `finding:3`, `fault:0.157.18`. */
  readonly open: string | null
}

/** Filters of the bus view. */
export interface BusState {
  readonly part: string | null
  readonly pgn: number | null
  readonly sa: number | null
  readonly row: number | null
}

/** Two runs compared, and what is looked at of them. Times are seconds from the event both are laid on. */
export interface CompareState {
  /** Ids of the runs; null where none has been chosen. */
  readonly before: string | null
  readonly after: string | null
  /** The event both are laid on, such as `engine-start-1`; null is the latest one both have. */
  readonly align: string | null
  /** Null is all of both runs. */
  readonly window: Window | null
  readonly preset: string | null
  /** Keys of signals chosen one by one; null where a preset says it. */
  readonly plots: readonly string[] | null
  readonly at: number | null
  /** The fault that is opened: `fault:0.157.18`. */
  readonly open: string | null
  /** Every difference of a vital, not only those that may count. */
  readonly all: boolean
  /** Somebody vouches that both runs are of one vehicle. */
  readonly vouched: boolean
}

export type Route =
  | { readonly page: 'runs' }
  | { readonly page: 'compare'; readonly compare: CompareState }
  | { readonly page: 'live'; readonly source: string | null }
  | {
      readonly page: 'run'
      readonly run: string
      readonly view: View
      readonly sheet: SheetState
      readonly bus: BusState
    }

export const PLAIN_SHEET: SheetState = { window: null, preset: null, plots: null, at: null, mark: null, open: null }
export const PLAIN_BUS: BusState = { part: null, pgn: null, sa: null, row: null }
export const PLAIN_COMPARE: CompareState = {
  before: null,
  after: null,
  align: null,
  window: null,
  preset: null,
  plots: null,
  at: null,
  open: null,
  all: false,
  vouched: false,
}

/** A route to a run as it is opened first. */
export function runRoute(run: string, view: View = 'sheet'): Extract<Route, { page: 'run' }> {
  return { page: 'run', run, view, sheet: PLAIN_SHEET, bus: PLAIN_BUS }
}

/** A route to two runs compared, as it is opened first. */
export function compareRoute(before: string | null, after: string | null): Route {
  return { page: 'compare', compare: { ...PLAIN_COMPARE, before, after } }
}

/** The route in an address; what is not understood is left out. */
export function parseRoute(hash: string): Route {
  const [path = '', query = ''] = hash.replace(/^#\/?/, '').split('?')
  const [page, name, part] = path.split('/').map(decode)
  if (page === 'live') return { page, source: name || null }
  const values = new URLSearchParams(query)
  if (page === 'compare') return { page, compare: parseCompare(values) }
  if (page !== 'run' || !name) return { page: 'runs' }
  const found = VIEWS.find((view) => view === part)
  return { page, run: name, view: found ?? 'sheet', sheet: parseSheet(values), bus: parseBus(values) }
}

/** The address of a route, from `#` on. */
export function formatRoute(route: Route): string {
  if (route.page === 'runs') return '#/runs'
  if (route.page === 'live') return route.source === null ? '#/live' : `#/live/${encodeURIComponent(route.source)}`
  if (route.page === 'compare') return formatCompare(route.compare)
  const { window, preset, plots, at, mark, open } = route.sheet
  const { part, pgn, sa, row } = route.bus
  return withQuery(`#/run/${encodeURIComponent(route.run).replaceAll('%3A', ':')}/${route.view}`, [
    ['t', window && `${seconds(window.from)}~${seconds(window.to)}`],
    ['q', preset],
    ['plots', plots?.map((keys) => keys.join('+')).join(',') ?? null],
    ['at', at === null ? null : seconds(at)],
    ['mark', mark === null ? null : seconds(mark)],
    ['open', open],
    ['part', part],
    ['pgn', pgn],
    ['sa', sa],
    ['row', row],
  ])
}

function formatCompare({ before, after, align, window, preset, plots, at, open, all, vouched }: CompareState): string {
  return withQuery('#/compare', [
    ['before', before],
    ['after', after],
    ['align', align],
    ['t', window && `${seconds(window.from)}~${seconds(window.to)}`],
    ['q', preset],
    ['plots', plots?.join(',') ?? null],
    ['at', at === null ? null : seconds(at)],
    ['open', open],
    ['all', all ? 1 : null],
    ['vouched', vouched ? 1 : null],
  ])
}

function withQuery(path: string, pairs: readonly (readonly [string, string | number | null])[]): string {
  const query = pairs
    .filter(([, value]) => value !== null)
    .map(([key, value]) => `${key}=${encodeURIComponent(`${value}`).replaceAll(/%2C|%7E|%3A/g, decodeURIComponent)}`)
  return query.length === 0 ? path : `${path}?${query.join('&')}`
}

function parseWindow(values: URLSearchParams): Window | null {
  const [from, to] = (values.get('t') ?? '').split('~').map(numberIn)
  return from != null && to != null && to > from ? { from, to } : null
}

function parseCompare(values: URLSearchParams): CompareState {
  return {
    before: values.get('before') || null,
    after: values.get('after') || null,
    align: values.get('align'),
    window: parseWindow(values),
    preset: values.get('q'),
    plots: values.get('plots')?.split(',').filter(Boolean) ?? null,
    at: numberIn(values.get('at')),
    open: values.get('open'),
    all: values.get('all') === '1',
    vouched: values.get('vouched') === '1',
  }
}

function parseSheet(values: URLSearchParams): SheetState {
  const plots = values.get('plots')
  return {
    window: parseWindow(values),
    preset: values.get('q'),
    plots: plots === null ? null : plots.split(',').map((keys) => keys.split(/[+ ]/).filter(Boolean)),
    at: numberIn(values.get('at')),
    mark: numberIn(values.get('mark')),
    open: values.get('open'),
  }
}

function parseBus(values: URLSearchParams): BusState {
  return {
    part: values.get('part'),
    pgn: numberIn(values.get('pgn')),
    sa: numberIn(values.get('sa')),
    row: numberIn(values.get('row')),
  }
}

function numberIn(text: string | null | undefined): number | null {
  if (text === null || text === undefined || text.trim() === '') return null
  const number = Number(text)
  return Number.isFinite(number) ? number : null
}

/** Microseconds are the finest there is. */
function seconds(value: number): string {
  return `${Math.round(value * 1e6) / 1e6}`
}

function decode(text: string): string {
  try {
    return decodeURIComponent(text)
  } catch {
    return text
  }
}
