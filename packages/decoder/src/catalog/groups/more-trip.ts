/** Totals of a trip and of a life: fuel, time, distance, stops. */
import type { GroupDefinition } from '../definition.js'
import { num } from '../rows.js'
import { HOURS_0_05, KG_PER_HOUR, KM, KM_PER_LITRE, LITRES, LITRES_PER_HOUR, type Slot, slot } from '../slots.js'

/** Totals of gaseous fuel. */
const KG_0_5_32: Slot = slot(32, 0.5, 0, 'kg')
/** Totals of liquid fuel in millilitres. */
const LITRES_0_001: Slot = slot(32, 0.001, 0, 'L')
const COUNT_16: Slot = slot(16, 1, 0, 'count')

export const MORE_TRIP: readonly GroupDefinition[] = [
  {
    pgn: 64777,
    acronym: 'HRLFC',
    name: 'High resolution fuel consumption (liquid)',
    length: 8,
    priority: 6,
    period: 1000,
    sources: ['memory'],
    signals: [
      num(5053, 'High resolution engine trip fuel', '1', LITRES_0_001, ['memory'], 0),
      num(5054, 'High resolution engine total fuel used', '5', LITRES_0_001, ['memory'], 0),
    ],
  },
  {
    pgn: 65199,
    acronym: 'GFC',
    name: 'Fuel consumption (gaseous)',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(1039, 'Trip fuel (gaseous)', '1', KG_0_5_32, ['memory'], 0),
      num(1040, 'Total fuel used (gaseous)', '5', KG_0_5_32, ['memory'], 0),
    ],
  },
  {
    pgn: 65202,
    acronym: 'GFI1',
    name: 'Fuel information 1 (gaseous)',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(1030, 'Total engine PTO governor fuel used (gaseous)', '1', KG_0_5_32, ['memory'], 0),
      num(1031, 'Trip average fuel rate (gaseous)', '5', KG_PER_HOUR, ['memory'], 0),
    ],
  },
  {
    pgn: 65209,
    acronym: 'LTFI',
    name: 'Trip fuel information (liquid)',
    length: 22,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(1001, 'Trip drive fuel used', '1', LITRES, ['memory'], 0),
      num(1002, 'Trip PTO governor moving fuel used', '5', LITRES, ['memory'], 0),
      num(1003, 'Trip PTO governor non-moving fuel used', '9', LITRES, ['memory'], 0),
      num(1004, 'Trip vehicle idle fuel used', '13', LITRES, ['memory'], 0),
      num(1005, 'Trip cruise fuel used', '17', LITRES, ['memory'], 0),
      num(1006, 'Trip drive fuel economy', '21', KM_PER_LITRE, ['memory'], 0),
    ],
  },
  {
    pgn: 65208,
    acronym: 'GTFI',
    name: 'Trip fuel information (gaseous)',
    length: 22,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(1007, 'Trip drive fuel used (gaseous)', '1', KG_0_5_32, ['memory'], 0),
      num(1008, 'Trip PTO governor moving fuel used (gaseous)', '5', KG_0_5_32, ['memory'], 0),
      num(1009, 'Trip PTO governor non-moving fuel used (gaseous)', '9', KG_0_5_32, ['memory'], 0),
      num(1010, 'Trip vehicle idle fuel used (gaseous)', '13', KG_0_5_32, ['memory'], 0),
      num(1011, 'Trip cruise fuel used (gaseous)', '17', KG_0_5_32, ['memory'], 0),
    ],
  },
  {
    pgn: 65101,
    acronym: 'TAVG',
    name: 'Total averaged information',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['positions', 'memory'],
    signals: [
      num(1834, 'Engine total average fuel rate', '1', LITRES_PER_HOUR, ['memory'], 0),
      num(1835, 'Engine total average fuel economy', '3', KM_PER_LITRE, ['memory'], 0),
    ],
  },
  {
    pgn: 65204,
    acronym: 'TTI1',
    name: 'Trip time information 1',
    length: 12,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(1024, 'Trip time in vehicle speed limiting', '1', HOURS_0_05, ['memory'], 0),
      num(1025, 'Trip time in top gear', '5', HOURS_0_05, ['memory'], 0),
      num(1026, 'Trip time in gear down', '9', HOURS_0_05, ['memory'], 0),
    ],
  },
  {
    pgn: 65200,
    acronym: 'TTI2',
    name: 'Trip time information 2',
    length: 20,
    priority: 6,
    period: 'on-request',
    sources: ['memory'],
    signals: [
      num(1034, 'Trip cruise time', '1', HOURS_0_05, ['memory'], 0),
      num(1035, 'Trip PTO time', '5', HOURS_0_05, ['memory'], 0),
      num(1036, 'Trip engine running time', '9', HOURS_0_05, ['memory'], 0),
      num(1037, 'Trip idle time', '13', HOURS_0_05, ['memory'], 0),
      num(1038, 'Trip air compressor on time', '17', HOURS_0_05, ['memory'], 0),
    ],
  },
  {
    pgn: 65205,
    acronym: 'TSI',
    name: 'Trip shutdown information',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['positions', 'memory'],
    signals: [
      num(1020, 'Trip number of hot shutdowns', '1', COUNT_16, ['memory'], 0),
      num(1021, 'Trip number of idle shutdowns', '3', COUNT_16, ['memory'], 0),
      num(1022, 'Trip number of idle shutdown overrides', '5', COUNT_16, ['memory'], 0),
      num(1023, 'Trip sudden decelerations', '7', COUNT_16, ['memory'], 0),
    ],
  },
  {
    pgn: 65206,
    acronym: 'TVI',
    name: 'Trip vehicle speed/cruise distance information',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['positions', 'memory'],
    signals: [],
  },
  {
    pgn: 65201,
    acronym: 'EH',
    name: 'ECU history',
    length: 8,
    priority: 6,
    period: 'on-request',
    sources: ['positions', 'memory'],
    signals: [
      num(1032, 'Total ECU distance', '1', KM, ['memory'], 0),
      num(1033, 'Total ECU run time', '5', HOURS_0_05, ['memory'], 0),
    ],
  },
]
