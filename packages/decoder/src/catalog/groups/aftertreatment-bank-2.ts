/** Exhaust aftertreatment, second bank: gas sensors and particulate filter. */
import type { GroupDefinition } from '../definition.js'
import { fmi, num, state } from '../rows.js'
import { KPA_0_1_16, PERCENT_O2, PPM_NOX, TEMP_16 } from '../slots.js'
import { NO_YES, SENSOR_HEATER } from '../states.js'

export const AFTERTREATMENT_BANK_2: readonly GroupDefinition[] = [
  {
    pgn: 61456,
    acronym: 'AT2IG1',
    name: 'Aftertreatment 2 intake gas 1',
    length: 8,
    priority: 6,
    period: 50,
    sources: ['memory'],
    signals: [
      num(3255, 'Aftertreatment 2 intake NOx', '1', PPM_NOX, ['memory'], 0),
      num(3256, 'Aftertreatment 2 intake O2', '3', PERCENT_O2, ['memory'], 0),
      state(3257, 'Aftertreatment 2 intake gas sensor power in range', '5', 2, NO_YES, ['memory'], 0),
      state(3258, 'Aftertreatment 2 intake gas sensor at temperature', '5.3', 2, NO_YES, ['memory'], 0),
      state(3259, 'Aftertreatment 2 intake NOx reading stable', '5.5', 2, NO_YES, ['memory'], 0),
      state(3260, 'Aftertreatment 2 intake O2 reading stable', '5.7', 2, NO_YES, ['memory'], 0),
      fmi(3261, 'Aftertreatment 2 intake gas sensor heater preliminary FMI', '6', ['memory']),
      state(3262, 'Aftertreatment 2 intake gas sensor heater control', '6.6', 2, SENSOR_HEATER, ['memory'], 0, {
        range: 2,
        note: '11 is heater off, which cannot be told from a byte that is not sent',
      }),
      fmi(3263, 'Aftertreatment 2 intake NOx sensor preliminary FMI', '7', ['memory']),
      fmi(3264, 'Aftertreatment 2 intake O2 sensor preliminary FMI', '8', ['memory']),
    ],
  },
  {
    pgn: 61457,
    acronym: 'AT2OG1',
    name: 'Aftertreatment 2 outlet gas 1',
    length: 8,
    priority: 6,
    period: 50,
    sources: ['memory'],
    signals: [
      num(3265, 'Aftertreatment 2 outlet NOx', '1', PPM_NOX, ['memory'], 0),
      num(3266, 'Aftertreatment 2 outlet O2', '3', PERCENT_O2, ['memory'], 0),
      state(3267, 'Aftertreatment 2 outlet gas sensor power in range', '5', 2, NO_YES, ['memory'], 0),
      state(3268, 'Aftertreatment 2 outlet gas sensor at temperature', '5.3', 2, NO_YES, ['memory'], 0),
      state(3269, 'Aftertreatment 2 outlet NOx reading stable', '5.5', 2, NO_YES, ['memory'], 0),
      state(3270, 'Aftertreatment 2 outlet O2 reading stable', '5.7', 2, NO_YES, ['memory'], 0),
      fmi(3271, 'Aftertreatment 2 outlet gas sensor heater preliminary FMI', '6', ['memory']),
      state(3272, 'Aftertreatment 2 outlet gas sensor heater control', '6.6', 2, SENSOR_HEATER, ['memory'], 0, {
        range: 2,
        note: '11 is heater off, which cannot be told from a byte that is not sent',
      }),
      fmi(3273, 'Aftertreatment 2 outlet NOx sensor preliminary FMI', '7', ['memory']),
      fmi(3274, 'Aftertreatment 2 outlet O2 sensor preliminary FMI', '8', ['memory']),
    ],
  },
  {
    pgn: 64945,
    acronym: 'AT2IG2',
    name: 'Aftertreatment 2 intake gas 2',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['memory'],
    signals: [
      num(3276, 'Aftertreatment 2 exhaust temperature 1', '1', TEMP_16, ['memory'], 0),
      num(3277, 'Aftertreatment 2 DPF intake temperature', '3', TEMP_16, ['memory'], 0),
      fmi(3278, 'Aftertreatment 2 exhaust temperature 1 preliminary FMI', '5', ['memory']),
      fmi(3279, 'Aftertreatment 2 DPF intake temperature preliminary FMI', '6', ['memory']),
    ],
  },
  {
    pgn: 64944,
    acronym: 'AT2OG2',
    name: 'Aftertreatment 2 outlet gas 2',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['memory'],
    signals: [
      num(3280, 'Aftertreatment 2 exhaust temperature 3', '1', TEMP_16, ['memory'], 0),
      num(3281, 'Aftertreatment 2 DPF outlet temperature', '3', TEMP_16, ['memory'], 0),
      fmi(3282, 'Aftertreatment 2 exhaust temperature 3 preliminary FMI', '5', ['memory']),
      fmi(3283, 'Aftertreatment 2 DPF outlet temperature preliminary FMI', '6', ['memory']),
    ],
  },
  {
    pgn: 64943,
    acronym: 'AT2IMG',
    name: 'Aftertreatment 2 intermediate gas',
    length: 8,
    priority: 6,
    period: 500,
    sources: ['memory'],
    signals: [
      num(3284, 'Aftertreatment 2 exhaust temperature 2', '1', TEMP_16, ['memory'], 0),
      num(3285, 'Aftertreatment 2 DPF intermediate temperature', '3', TEMP_16, ['memory'], 0),
      num(3286, 'Aftertreatment 2 DPF differential pressure', '5', KPA_0_1_16, ['memory'], 0),
    ],
  },
  {
    pgn: 64907,
    acronym: 'AT2GP',
    name: 'Aftertreatment 2 gas parameters',
    length: 8,
    priority: 6,
    sources: ['memory'],
    signals: [
      num(3611, 'Aftertreatment 2 DPF intake pressure', '1', KPA_0_1_16, ['memory'], 0),
      num(3612, 'Aftertreatment 2 DPF outlet pressure', '3', KPA_0_1_16, ['memory'], 0),
    ],
  },
]
