/**
 * The diagnostic messages DM1 to DM60 (SAE J1939-73). Known by name here; `diagnostics/` reads what is
 * in them. Only the lamps of DM1 are signals too.
 */
import type { Destination, GroupDefinition, Period, SignalDefinition, StateDefinition } from '../definition.js'
import { state } from '../rows.js'
import type { SourceId } from '../sources.js'
import { LAMP_FLASH, OFF_ON } from '../states.js'

/** What only some rows have. */
interface Extra {
  readonly period?: Period
  readonly destination?: Destination
  readonly signals?: readonly SignalDefinition[]
  readonly note?: string
}

/** Number, parameter group, name, who says so. */
function dm(
  number: number,
  pgn: number,
  name: string,
  sources: readonly SourceId[],
  extra: Extra = {},
): GroupDefinition {
  return {
    pgn,
    acronym: `DM${number}`,
    name,
    length: 'variable',
    priority: 6,
    period: 'on-request',
    signals: [],
    ...extra,
    sources,
  }
}

/** How a lamp flashes while it is on: all four codes say something. */
function flash(
  spn: number,
  name: string,
  at: string,
  sources: readonly SourceId[],
  confirmed: number,
): StateDefinition {
  return state(spn, name, at, 2, LAMP_FLASH, sources, confirmed, {
    range: 'full',
    note: 'means something only while the lamp is on; nodes that do not support flashing send 11 or 00',
  })
}

const LAMPS: readonly SignalDefinition[] = [
  state(987, 'Protect lamp', '1', 2, OFF_ON, ['engine', 'course'], 2),
  state(624, 'Amber warning lamp', '1.3', 2, OFF_ON, ['engine', 'truck', 'engine-offroad', 'list'], 3),
  state(623, 'Red stop lamp', '1.5', 2, OFF_ON, ['engine', 'truck', 'list'], 2),
  state(1213, 'Malfunction indicator lamp', '1.7', 2, OFF_ON, ['engine', 'engine-offroad', 'list'], 2),
  flash(3041, 'Flash protect lamp', '2', ['list', 'memory'], 0),
  flash(3040, 'Flash amber warning lamp', '2.3', ['engine-offroad', 'list'], 1),
  flash(3039, 'Flash red stop lamp', '2.5', ['list', 'memory'], 0),
  flash(3038, 'Flash malfunction indicator lamp', '2.7', ['engine-offroad', 'list'], 1),
]

const LIST = ['list'] as const
const MEMORY = ['memory'] as const

/** Said to one node, when there is reason to. */
const COMMAND: Extra = { period: 'as-needed', destination: 'node' }
/** Answered to who asked, or to all. */
const ANSWER: Extra = { destination: 'either' }
const UNCERTAIN: Extra = { note: 'purpose and parameter group are uncertain' }

/** In the order of their numbers. */
export const DIAGNOSTICS: readonly GroupDefinition[] = [
  dm(1, 65226, 'Active trouble codes and lamps', ['engine', 'truck', 'engine-offroad', 'course', 'list', 'recording'], {
    period: 1000,
    signals: LAMPS,
    note: 'the trouble codes, SPNs 1214 to 1216 and 1706, are no signals: the bits of SPN 1214 are not in a row',
  }),
  dm(2, 65227, 'Previously active trouble codes', ['list', 'keypad']),
  dm(3, 65228, 'Clear previously active trouble codes', LIST),
  dm(4, 65229, 'Freeze frame parameters', LIST),
  dm(5, 65230, 'Diagnostic readiness 1', LIST),
  dm(6, 65231, 'Pending trouble codes', LIST),
  dm(7, 58112, 'Command non-continuously monitored test', LIST, {
    ...COMMAND,
    note: 'named in the entry of DM8, its answer',
  }),
  dm(8, 65232, 'Test results for non-continuously monitored systems', LIST),
  dm(9, 65233, 'Oxygen sensor test results', LIST),
  dm(10, 65234, 'Non-continuously monitored test identifiers supported', LIST),
  dm(11, 65235, 'Clear active trouble codes', LIST),
  dm(12, 65236, 'Emissions-related active trouble codes', LIST),
  dm(13, 57088, 'Stop or start broadcast', MEMORY, { period: 'as-needed', destination: 'either' }),
  dm(14, 55552, 'Memory access request', MEMORY, COMMAND),
  dm(15, 55296, 'Memory access response', MEMORY, COMMAND),
  dm(16, 55040, 'Binary data transfer', MEMORY, COMMAND),
  dm(17, 54784, 'Boot load data', MEMORY, COMMAND),
  dm(18, 54272, 'Data security', MEMORY, COMMAND),
  dm(19, 54016, 'Calibration information', MEMORY, ANSWER),
  dm(20, 49664, 'Monitor performance ratio', MEMORY, ANSWER),
  dm(21, 49408, 'Diagnostic readiness 2', MEMORY, ANSWER),
  dm(22, 49920, 'Individual clear of a trouble code', MEMORY, COMMAND),
  dm(23, 64949, 'Emissions-related previously active trouble codes', MEMORY),
  dm(24, 64950, 'Supported parameters', MEMORY),
  dm(25, 64951, 'Expanded freeze frame', MEMORY),
  dm(26, 64952, 'Diagnostic readiness 3', MEMORY),
  dm(27, 64898, 'All pending trouble codes', MEMORY),
  dm(28, 64896, 'Permanent trouble codes', MEMORY),
  dm(29, 40448, 'Trouble code counts', MEMORY, ANSWER),
  dm(30, 41984, 'Scaled test results', MEMORY, ANSWER),
  dm(31, 41728, 'Trouble code to lamp association', MEMORY, ANSWER),
  dm(32, 41472, 'Regulated exhaust emission level exceedance', MEMORY, ANSWER),
  dm(33, 41216, 'Emission increasing auxiliary control device active time', MEMORY, ANSWER),
  dm(34, 40960, 'Not-to-exceed zone status', MEMORY, ANSWER),
  dm(35, 40704, 'Immediate fault status', MEMORY, ANSWER),
  dm(36, 64868, 'Harmonized roadworthiness, vehicle', MEMORY),
  dm(37, 64867, 'Harmonized roadworthiness, system', MEMORY),
  dm(38, 64866, 'Harmonized global technical regulation description', MEMORY),
  dm(39, 64865, 'Harmonized cumulative continuous malfunction indicator, system', MEMORY),
  dm(40, 64864, 'Harmonized class B1 failure counts', MEMORY),
  dm(41, 64863, 'Class A trouble codes, pending', MEMORY),
  dm(42, 64862, 'Class A trouble codes, confirmed and active', MEMORY),
  dm(43, 64861, 'Class A trouble codes, previously active', MEMORY),
  dm(44, 64860, 'Class B1 trouble codes, pending', MEMORY),
  dm(45, 64859, 'Class B1 trouble codes, confirmed and active', MEMORY),
  dm(46, 64858, 'Class B1 trouble codes, previously active', MEMORY),
  dm(47, 64857, 'Class B2 trouble codes, pending', MEMORY),
  dm(48, 64856, 'Class B2 trouble codes, confirmed and active', MEMORY),
  dm(49, 64855, 'Class B2 trouble codes, previously active', MEMORY),
  dm(50, 64854, 'Class C trouble codes, pending', MEMORY),
  dm(51, 64853, 'Class C trouble codes, confirmed and active', MEMORY),
  dm(52, 64852, 'Class C trouble codes, previously active', MEMORY),
  dm(53, 64721, 'Active service-only trouble codes', MEMORY),
  dm(54, 64722, 'Previously active service-only trouble codes', MEMORY),
  dm(55, 64723, 'Clear service-only trouble codes', MEMORY),
  dm(56, 64711, 'Engine emissions certification information', MEMORY),
  dm(57, 64710, 'On-board diagnostics information', MEMORY),
  dm(58, 64475, 'Rationality fault parameter data', MEMORY, UNCERTAIN),
  dm(59, 64476, 'Rationality fault parameters monitored', MEMORY, UNCERTAIN),
  dm(60, 64474, 'Rationality fault parameter data, other', MEMORY, UNCERTAIN),
]
