/** Battery, charging, sensor supplies, relays, heaters, starter, fan, the controller itself. */
import { CLAMP, type Component, MEMORY, METER, PRACTICE, step, THIS_PROGRAM } from './component.js'

const VOLT_DROP = step(
  'cranking',
  METER,
  'Volt-drop test while somebody cranks: battery post to engine block at most 0.2 V, battery post to starter stud at most 0.5 V. The bad joint shows most of the drop.',
  'before-cranking',
  'crank-limit',
  'battery',
)
const POSTS = step(
  'off',
  METER,
  'Battery posts after four hours of rest: 12.5 V or more. Clamps clean and tight.',
  'battery',
)
const ONE_BY_ONE = step(
  'on',
  METER,
  'Watch the supply at one sensor plug and unplug the sensors on that rail one at a time, key off between. When it comes back, the last one or its wire is the short.',
  'key-off-measuring',
)
const CHAFE = step(
  'off',
  null,
  'Then follow that harness where it moves or touches metal: brackets, edges, exhaust, steering.',
  'hot-parts',
)

export const ELECTRICAL: readonly Component[] = [
  {
    spns: [168, 444],
    part: 'battery voltage',
    kind: 'supply',
    about: 'The battery voltage as the controller sees it at its own pins.',
    high: { value: 15.2, unit: 'V', source: 'Alternator voltage testing tutorial, rounded' },
    low: { value: 9.6, unit: 'V', source: 'Battery load test table by temperature (shop guide)' },
    siblings: [{ spns: [158], when: 'always' }],
    cautions: ['battery'],
    first: {
      low: [POSTS, VOLT_DROP],
      high: [
        step(
          'running',
          METER,
          'Charging voltage at the battery posts; regulator and its sense wire.',
          'battery',
          'rotating-parts',
        ),
      ],
      any: [POSTS],
    },
  },
  {
    spns: [158],
    part: 'ignition feed',
    kind: 'supply',
    about: 'The voltage on the key switch wire: it tells the controller that the key is on.',
    siblings: [{ spns: [168], when: 'always' }],
    cautions: ['battery'],
    first: {
      any: [
        step(
          'on',
          METER,
          'Voltage at the controller’s key feed pin’s fuse and relay, wiggling relay, fuse and key switch.',
        ),
        step('off', null, 'Fuse legs, relay socket and the joint added in the repower: loose, green, burnt?'),
      ],
    },
  },
  {
    spns: [167, 115, 3353],
    part: 'charging system',
    kind: 'supply',
    about: 'The voltage the alternator holds.',
    high: { value: 15.2, unit: 'V', source: 'Alternator voltage testing tutorial, rounded' },
    low: { value: 13, unit: 'V', source: 'Alternator voltage testing tutorial, rounded' },
    cautions: ['battery', 'rotating-parts'],
    first: {
      low: [
        step('off', null, 'Belt: there, tight, not glazed; pulley turns the rotor.', 'rotating-parts'),
        step('on', METER, 'Exciter or lamp wire at the alternator: battery voltage with the key on?', 'battery'),
        step(
          'running',
          METER,
          'Output stud against battery post: more than 0.5 V difference is the cable or its fuse.',
          'battery',
          'rotating-parts',
        ),
      ],
      high: [
        step('running', METER, 'Voltage at the posts; sense wire broken? Regulator last.', 'battery', 'rotating-parts'),
      ],
    },
  },
  {
    spns: [620, 1079, 1080, 1043, 3509, 3510, 3511, 3512, 3513, 3514, 5125, 5126],
    part: '5 V sensor supply',
    kind: 'sensor-supply',
    about: 'One of the supplies by which the controller feeds its three-wire sensors.',
    first: { any: [ONE_BY_ONE, CHAFE] },
    figures: [{ text: 'Healthy rail: 4.75 to 5.25 V.', source: PRACTICE }],
  },
  {
    spns: [678],
    part: '8 V sensor supply',
    kind: 'sensor-supply',
    about: 'The supply by which the controller feeds Hall and pulse sensors.',
    first: { any: [ONE_BY_ONE, CHAFE] },
    figures: [{ text: 'Healthy rail: about 8 V.', source: MEMORY }],
  },
  {
    spns: [627],
    part: 'controller supply',
    kind: 'supply',
    about: 'The power that feeds the controller.',
    cautions: ['battery'],
    first: { any: [POSTS, VOLT_DROP] },
  },
  {
    spns: [729, 730, 45],
    part: 'intake heater',
    kind: 'heater',
    about: 'The grid that warms the intake air before and after a cold start.',
    cautions: ['intake-heater', 'battery'],
    first: {
      open: [
        step(
          'off',
          null,
          'Look at fusible link, studs and cables of the heater: burnt, loose, green?',
          'intake-heater',
          'battery',
        ),
        step(
          'on',
          METER,
          'While the lamp burns, measure in turn against ground: battery side of the link, heater side, solenoid output, grid stud. Where the 12 V end is the break.',
          'intake-heater',
          'battery',
        ),
        step('on', CLAMP, 'Or a clamp around the heater cable: nothing flows means open.', 'intake-heater'),
      ],
      any: [
        step(
          'on',
          METER,
          'Solenoid coil wire: voltage there when the lamp burns, none when it does not?',
          'intake-heater',
        ),
        step(
          'off',
          METER,
          'Solenoid contact with the key off: open? A welded contact heats for ever: isolate the battery.',
          'heater-stuck',
          'battery',
        ),
      ],
    },
  },
  {
    spns: [675, 676],
    part: 'glow plugs',
    kind: 'heater',
    about: 'Glow plugs or their relay.',
    cautions: ['battery'],
    first: {
      any: [
        step(
          'on',
          METER,
          'Voltage at the relay’s output while the lamp burns; then each plug’s current with a clamp.',
          'battery',
        ),
      ],
    },
  },
  {
    spns: [677],
    part: 'starter relay',
    kind: 'driver',
    about: 'The relay by which the controller allows or runs the starter.',
    cautions: ['before-cranking', 'battery'],
    first: {
      any: [
        step(
          'off',
          null,
          'Neutral and clutch switches, immobiliser, key wire: is starting allowed at all?',
          'before-cranking',
        ),
        step('cranking', METER, 'Voltage at the coil when the key is turned to start.', 'before-cranking', 'battery'),
      ],
    },
  },
  {
    spns: [1485, 2634],
    part: 'main relay',
    kind: 'driver',
    about: 'The relay that feeds the controller; it holds on after the key so that the controller can finish.',
    cautions: ['battery'],
    first: {
      any: [
        step(
          'off',
          METER,
          'Battery feed, fuse and ground of the relay; is it wired to the battery, not behind the key?',
          'battery',
        ),
      ],
    },
  },
  {
    spns: [647, 977, 1639, 986],
    part: 'fan drive',
    kind: 'driver',
    about: 'The clutch or motor of the cooling fan.',
    cautions: ['rotating-parts'],
    first: {
      any: [
        step(
          'off',
          null,
          'Fan and clutch free; plug and cable clear of the belt. Is a driven fan fitted at all after the repower?',
          'rotating-parts',
        ),
      ],
    },
  },
  {
    spns: [1072, 1073, 1112, 1074],
    part: 'engine brake',
    kind: 'driver',
    about: 'A solenoid of the engine or exhaust brake.',
    first: { any: [step('any', null, 'Fitted at all? If not, the calibration must be told so.')] },
  },
  {
    spns: [628, 629, 630, 631, 2802],
    part: 'engine controller',
    kind: 'controller',
    about: 'Memory, calibration or electronics of the controller itself.',
    first: {
      any: [
        step(
          'on',
          METER,
          'Its supplies and grounds under load, and its fuses: most "bad controllers" are bad grounds.',
          'key-off-measuring',
        ),
        step(
          'any',
          null,
          'Does the calibration belong to this engine and this controller? Ask the maker before anything is exchanged.',
        ),
      ],
    },
  },
  {
    spns: [1563],
    part: 'controller compatibility',
    kind: 'controller',
    about: 'A part or controller that does not belong to this calibration.',
    first: {
      any: [
        step(
          'any',
          null,
          'Compare part numbers of controller, calibration, actuators and sensors with the build list.',
        ),
      ],
    },
  },
  {
    spns: [1195, 1196],
    part: 'immobiliser',
    kind: 'controller',
    about: 'Anti-theft: the engine may not start without an answer from another node.',
    first: {
      any: [
        step(
          'any',
          null,
          'The donor vehicle’s immobiliser partner is missing after a repower: the maker’s tool has to teach or remove it.',
        ),
      ],
    },
  },
  {
    spns: [152],
    part: 'controller resets',
    kind: 'controller',
    about: 'How often a controller started anew.',
    first: {
      any: [
        step('any', THIS_PROGRAM, 'See whether they come while cranking: then it is the supply.', 'battery'),
        VOLT_DROP,
      ],
    },
  },
  {
    spns: [5324, 5325, 5326, 5327],
    part: 'glow plug',
    kind: 'driver',
    about: 'One glow plug: 5324 is cylinder 1, and so on.',
    first: {
      any: [
        step(
          'off',
          METER,
          'Unplugged plug to ground: about 0.5 to 2 Ω cold; compare with its neighbours.',
          'hot-parts',
        ),
      ],
    },
  },
]
