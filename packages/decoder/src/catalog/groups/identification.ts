/** Who is there: component, vehicle, software, control unit, driver. */
import type { GroupDefinition } from '../definition.js'
import { field, num } from '../rows.js'
import { COUNT_8 } from '../slots.js'

export const IDENTIFICATION: readonly GroupDefinition[] = [
  {
    pgn: 65259,
    acronym: 'CI',
    name: 'Component identification',
    length: 'variable',
    priority: 6,
    period: 'on-request',
    sources: ['list'],
    signals: [
      field(586, 'Component make', '1', 0, ['list', 'memory'], 0),
      field(587, 'Component model', '1', 1, ['list', 'memory'], 0),
      field(588, 'Component serial number', '1', 2, ['list', 'memory'], 0),
      field(233, 'Unit number', '1', 3, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65260,
    acronym: 'VI',
    name: 'Vehicle identification',
    length: 'variable',
    priority: 6,
    period: 'on-request',
    sources: ['list'],
    signals: [field(237, 'Vehicle identification number', '1', 0, ['list', 'memory'], 0)],
  },
  {
    pgn: 65242,
    acronym: 'SOFT',
    name: 'Software identification',
    length: 'variable',
    priority: 6,
    period: 'on-request',
    sources: ['engine', 'course', 'truck', 'list'],
    signals: [
      num(965, 'Number of software identification fields', '1', COUNT_8, ['engine', 'course', 'truck'], 3),
      field(234, 'Software identification', '2', 0, ['truck', 'list'], 1, {
        note: 'the first of as many fields as SPN 965 says',
      }),
    ],
  },
  {
    pgn: 64965,
    acronym: 'ECUID',
    name: 'ECU identification information',
    length: 'variable',
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      field(2901, 'ECU part number', '1', 0, ['memory'], 0),
      field(2902, 'ECU serial number', '1', 1, ['memory'], 0),
      field(2903, 'ECU location', '1', 2, ['memory'], 0),
      field(2904, 'ECU type', '1', 3, ['memory'], 0),
      field(4304, 'ECU manufacturer name', '1', 4, ['memory'], 0),
    ],
  },
  {
    pgn: 65131,
    acronym: 'DI',
    name: "Driver's identification",
    length: 'variable',
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      field(1625, 'Driver 1 identification', '1', 0, ['memory'], 0),
      field(1626, 'Driver 2 identification', '1', 1, ['memory'], 0),
    ],
  },
]
