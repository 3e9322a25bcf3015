/** Fuel and oil: levels, pressures, rates, economy. */
import type { GroupDefinition } from '../definition.js'
import { num } from '../rows.js'
import { KM_PER_LITRE, KPA_0_05, KPA_2, KPA_4, KPA_SIGNED, LITRES, LITRES_PER_HOUR, MPA, PERCENT } from '../slots.js'

export const ENGINE_FUEL: readonly GroupDefinition[] = [
  {
    pgn: 65263,
    acronym: 'EFL/P1',
    name: 'Engine fluid level/pressure 1',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['course', 'recording', 'list'],
    signals: [
      num(94, 'Engine fuel delivery pressure', '1', KPA_4, ['course', 'recording'], 1),
      num(22, 'Engine extended crankcase blow-by pressure', '2', KPA_0_05, ['course'], 1),
      num(98, 'Engine oil level', '3', PERCENT, ['course'], 1),
      num(100, 'Engine oil pressure', '4', KPA_4, ['list', 'recording', 'memory'], 0),
      num(101, 'Engine crankcase pressure', '5', KPA_SIGNED, ['list', 'recording', 'memory'], 0),
      num(109, 'Engine coolant pressure', '7', KPA_2, ['list', 'memory'], 0),
      num(111, 'Engine coolant level', '8', PERCENT, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65243,
    acronym: 'EFL/P2',
    name: 'Engine fluid level/pressure 2',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['list', 'recording'],
    signals: [
      num(164, 'Engine injection control pressure', '1', MPA, ['list', 'recording', 'memory'], 0),
      num(157, 'Engine injector metering rail 1 pressure', '3', MPA, ['list', 'recording', 'memory'], 0),
      num(156, 'Engine injector timing rail 1 pressure', '5', MPA, ['list', 'memory'], 0),
      num(1349, 'Engine injector metering rail 2 pressure', '7', MPA, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65266,
    acronym: 'LFE1',
    name: 'Fuel economy 1 (liquid)',
    length: 8,
    priority: 6,
    period: 100,
    sources: ['list', 'recording'],
    signals: [
      num(183, 'Engine fuel rate', '1', LITRES_PER_HOUR, ['list', 'recording', 'memory'], 0),
      num(184, 'Engine instantaneous fuel economy', '3', KM_PER_LITRE, ['list', 'recording', 'memory'], 0),
      num(185, 'Engine average fuel economy', '5', KM_PER_LITRE, ['list', 'recording', 'memory'], 0),
      num(51, 'Engine throttle valve 1 position', '7', PERCENT, ['list', 'recording', 'memory'], 0),
      num(3673, 'Engine throttle valve 2 position', '8', PERCENT, ['list', 'memory'], 0),
    ],
  },
  {
    pgn: 65257,
    acronym: 'LFC',
    name: 'Fuel consumption (liquid)',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['list', 'recording'],
    signals: [
      num(182, 'Engine trip fuel', '1', LITRES, ['list', 'recording', 'memory'], 0),
      num(250, 'Engine total fuel used', '5', LITRES, ['list', 'recording', 'memory'], 0),
    ],
  },
  {
    pgn: 65203,
    acronym: 'LFI',
    name: 'Fuel information (liquid)',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['list'],
    signals: [
      num(1028, 'Total engine PTO governor fuel used', '1', LITRES, ['list', 'memory'], 0),
      num(1029, 'Trip average fuel rate', '5', LITRES_PER_HOUR, ['list', 'memory'], 0),
    ],
  },
]
