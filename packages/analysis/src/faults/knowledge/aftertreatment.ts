/** Exhaust aftertreatment: after a repower the first question is whether it is fitted, powered and expected. */
import { type Component, METER, PRACTICE, step } from './component.js'

const FITTED = step(
  'any',
  null,
  'Is this part fitted, powered and expected by the calibration? After a repower a missing or unpowered module is the usual reason. A calibration without it has to come from the maker.',
  'aftertreatment',
)
const POWER = step('on', METER, 'Power and ground at its plug, key on; its fuse; its bus pair.', 'key-off-measuring')
const HOT = step('off', null, 'Let the exhaust cool before touching anything on it.', 'hot-parts')

export const AFTERTREATMENT: readonly Component[] = [
  {
    spns: [3216, 3217, 3218],
    part: 'inlet NOx sensor',
    kind: 'smart-sensor',
    about: 'The nitrogen oxides before the catalyst; a probe with electronics of its own, on the bus.',
    cautions: ['aftertreatment'],
    first: { any: [FITTED, POWER, HOT] },
  },
  {
    spns: [3226, 3227, 3228],
    part: 'outlet NOx sensor',
    kind: 'smart-sensor',
    about: 'The nitrogen oxides behind the catalyst; a probe with electronics of its own, on the bus.',
    cautions: ['aftertreatment'],
    first: { any: [FITTED, POWER, HOT] },
  },
  {
    spns: [3242, 3241, 4765, 4360],
    part: 'catalyst or filter inlet temperature probe',
    kind: 'exhaust-probe',
    about: 'The exhaust temperature going into catalyst or particulate filter.',
    high: { value: 650, unit: '°C', source: PRACTICE },
    cautions: ['aftertreatment'],
    first: { any: [FITTED, HOT] },
  },
  {
    spns: [3246, 3245, 3250, 4766, 4363],
    part: 'catalyst or filter outlet temperature probe',
    kind: 'exhaust-probe',
    about: 'The exhaust temperature behind particulate filter or catalyst.',
    high: { value: 700, unit: '°C', source: PRACTICE },
    cautions: ['aftertreatment'],
    first: { any: [FITTED, HOT] },
  },
  {
    spns: [3251],
    part: 'particulate filter pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure lost across the particulate filter: from it the controller works out the soot in it.',
    cautions: ['aftertreatment'],
    first: {
      high: [
        FITTED,
        step(
          'off',
          null,
          'A blocked filter is real more often than not: regenerate as the manual says, away from anything that burns.',
          'hot-parts',
        ),
      ],
      any: [
        FITTED,
        step(
          'off',
          null,
          'Its two hoses: not swapped, not blocked, not burnt. Engine at rest it must read zero.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [3719, 3720, 3701, 3714, 4781],
    part: 'particulate filter load',
    kind: 'estimate',
    about: 'The controller’s estimate of soot or ash in the filter.',
    cautions: ['aftertreatment'],
    first: {
      any: [
        FITTED,
        step(
          'running',
          null,
          'Regenerate as the manual says; then ask why it filled: short trips, boost leak, oil.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [1761, 3517],
    part: 'reductant level sensor',
    kind: 'smart-sensor',
    about: 'The level in the reductant tank.',
    cautions: ['aftertreatment'],
    first: { any: [FITTED, step('off', null, 'Look into the tank; then plug and power of the tank unit.'), POWER] },
  },
  {
    spns: [3031, 3515],
    part: 'reductant temperature sensor',
    kind: 'thermistor',
    about: 'The temperature in the reductant tank; frozen reductant is normal in the cold until it is thawed.',
    cautions: ['aftertreatment'],
    first: { any: [FITTED] },
  },
  {
    spns: [4334, 4374, 4376, 4375],
    part: 'reductant pump',
    kind: 'actuator',
    about: 'The pump and its pressure that feed reductant to the injector.',
    cautions: ['aftertreatment'],
    first: {
      any: [
        FITTED,
        step('off', null, 'Crystals in lines and at the injector: wash with warm water as the manual says.'),
        POWER,
      ],
    },
  },
  {
    spns: [3361, 4331, 5394],
    part: 'reductant injector',
    kind: 'driver',
    about: 'The valve that doses reductant into the exhaust.',
    cautions: ['aftertreatment'],
    first: {
      any: [
        FITTED,
        HOT,
        step('off', null, 'Crystals at the nozzle; cooling lines of the injector connected.', 'hot-parts'),
      ],
    },
  },
  {
    spns: [3516, 3520],
    part: 'reductant quality sensor',
    kind: 'smart-sensor',
    about: 'Concentration and quality of the reductant.',
    cautions: ['aftertreatment'],
    first: {
      any: [FITTED, step('off', 'refractometer', 'Test a sample: 32.5 % urea. Diesel or water in the tank is real.')],
    },
  },
  {
    spns: [5246],
    part: 'operator inducement',
    kind: 'estimate',
    about: 'The engine is limited because of an aftertreatment fault. A consequence, never a root.',
    cautions: ['aftertreatment'],
    first: {
      any: [
        step(
          'any',
          null,
          'Look for the aftertreatment fault that came before it. Do not defeat it: ask the maker for the right calibration.',
          'aftertreatment',
        ),
      ],
    },
  },
  {
    spns: [3556, 3480],
    part: 'fuel doser',
    kind: 'driver',
    about: 'The valve that doses fuel into the exhaust for regeneration.',
    cautions: ['aftertreatment'],
    first: { any: [FITTED, HOT] },
  },
]
