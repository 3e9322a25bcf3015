/**
 * What a dash gauge shows of an engine, and why it may show nothing: the vitals it looks for, the
 * displays that may be heard, and the reasons, each with what to do.
 */

/** One figure of a dash. */
export interface VitalDefinition {
  readonly id: string
  readonly title: string
  readonly spn: number
  /** The group a gauge takes it from. */
  readonly pgn: number
  /** Whether a gauge takes it from the engine's address only, or from any node. */
  readonly from: 'engine' | 'any'
}

const vital = (
  id: string,
  title: string,
  spn: number,
  pgn: number,
  from: VitalDefinition['from'] = 'engine',
): VitalDefinition => ({ id, title, spn, pgn, from })

/** What gauges commonly show, the vitals first. Which ones a gauge has: common practice. */
export const VITALS: readonly VitalDefinition[] = [
  vital('speed', 'Engine speed', 190, 61444),
  vital('oil-pressure', 'Oil pressure', 100, 65263),
  vital('coolant', 'Coolant temperature', 110, 65262),
  vital('volts', 'Supply voltage', 168, 65271),
  vital('boost', 'Boost', 102, 65270),
  vital('load', 'Load', 92, 61443),
  vital('intake-temperature', 'Intake temperature', 105, 65270),
  vital('oil-temperature', 'Oil temperature', 175, 65262),
  vital('fuel-rate', 'Fuel rate', 183, 65266),
  vital('fuel-level', 'Fuel level', 96, 65276, 'any'),
  vital('vehicle-speed', 'Vehicle speed', 84, 65265, 'any'),
  vital('hours', 'Engine hours', 247, 65253),
  vital('wait-to-start', 'Wait-to-start lamp', 1081, 65252),
  vital('water-in-fuel', 'Water in fuel', 97, 65279),
]

/** Address of the first engine, which gauges listen to unless they are set otherwise (kernel's J1939 documentation). */
export const FIRST_ENGINE = 0
/** Address of the second engine (from memory). */
export const SECOND_ENGINE = 1
/** Addresses displays prefer, and their function in a NAME (from memory). */
export const DISPLAY_ADDRESSES: ReadonlySet<number> = new Set([23, 38, 40, 59, 60, 84])
export const DISPLAY_FUNCTIONS: ReadonlySet<number> = new Set([60])

/** Share of messages with a value from which on a figure is steady. Source: common practice. */
export const STEADY_SHARE = 0.95
/** Without a new message for so many periods, and so long in seconds, a gauge shows dashes. Source: common practice. */
export const STALE_PERIODS = 5
export const STALE_SECONDS = 2
/** Slower than the standard's rate by this factor, a needle moves in steps. Source: common practice. */
export const SLOW_FACTOR = 3

/** Why a gauge may show nothing, dashes, or something odd. */
export const GAUGE_REASONS = {
  'no-engine': {
    text: 'No engine controller was heard: a gauge on this bus shows nothing of the engine.',
    advice: 'Check the key feed of the engine controller, its bus pair and the two 120 Ω terminators.',
  },
  'other-address': {
    text: 'The engine does not use the address a gauge listens to.',
    advice: 'Set the gauge’s engine address to the one the engine uses. Do not change the engine’s.',
  },
  'address-shared': {
    text: 'Two nodes use one address: a gauge that asks it gets two answers, or the wrong one.',
    advice: 'Give every node an address of its own; usually the gauge’s is the one to change.',
  },
  'gauge-lost-address': {
    text: 'A display lost its address to another node: it may go on showing, but nobody answers its questions.',
    advice: 'Set the display to a free address.',
  },
  'not-sent': {
    text: 'Nobody sends some of the figures a dash has room for.',
    advice:
      'Not a failure by itself: this controller does not send them. Take them off the dash or fit a gauge with its own sender.',
  },
  'not-fitted': {
    text: 'Some messages come, but say "not available" where the figure would be: the controller has no such sensor.',
    advice: 'Not a failure by itself. A gauge shows dashes, a poor one shows its highest figure.',
  },
  'sensor-error': {
    text: 'The controller says "error" in place of a figure: a gauge shows dashes.',
    advice: 'See the fault of that sensor; the gauge is not at fault.',
  },
  'on-request': {
    text: 'Some figures come only when they are asked for: a gauge that only listens never shows them.',
    advice: 'Use a gauge that asks, or do without the figure.',
  },
  stale: {
    text: 'Some messages stayed away long enough for a gauge to show dashes for a moment.',
    advice:
      'See the bus findings: gaps of every node at once point to wiring or terminators, of one node to its power or branch.',
  },
  slow: {
    text: 'Some messages come much more slowly than the standard says: the needle moves in steps.',
    advice: 'A matter of the controller’s programming; no wiring will change it.',
  },
  'several-engines': {
    text: 'More than one engine is on this bus: a gauge has to be told which one it shows.',
    advice: 'Set each gauge to the address of its engine.',
  },
  'several-channels': {
    text: 'More than one bus was recorded: a gauge hears only the one it is wired to.',
    advice: 'Wire the gauge to the bus the engine is on.',
  },
  'no-dm1': {
    text: 'The engine sends no list of active faults: a gauge shows none even where there are some.',
    advice: 'Read the faults with a tool that asks for them.',
  },
  'long-list': {
    text: 'At times the list of faults took several packets: a simple gauge shows only short lists, or nothing.',
    advice: 'Do not take an empty fault page for a clean engine; read the list from this recording.',
  },
  'other-node-faults': {
    text: 'Nodes other than the engine report faults: a gauge set to the engine does not show them.',
    advice: 'Look at the faults of every node in this report.',
  },
  'lamp-without-code': {
    text: 'A lamp was on while no fault was listed: a gauge lights its lamp and has nothing to say.',
    advice: 'Read the node’s other lists (pending, previously active) with a tool that asks.',
  },
} as const satisfies Readonly<Record<string, { readonly text: string; readonly advice: string }>>

/** Name of a reason. */
export type GaugeReasonId = keyof typeof GAUGE_REASONS

/** What a gauge makes of one figure. */
export type Shown = 'value' | 'partly' | 'dashes' | 'other-address' | 'on-request' | 'nothing'
