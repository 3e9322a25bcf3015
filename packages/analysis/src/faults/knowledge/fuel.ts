/** Fuel: rail, pumps, valves, injectors, water, level. */
import { type Component, METER, PRACTICE, step, THIS_PROGRAM } from './component.js'

const NO_PROBING = step(
  'off',
  null,
  'Never probe, loosen or open anything on the high-pressure side while it holds pressure.',
  'fuel-pressure',
)
const FEED_FIRST = step(
  'running',
  null,
  'The low side first: tank, filter, lift pump and air in the line explain most low rail pressures.',
  'fuel-pressure',
)

export const FUEL: readonly Component[] = [
  {
    spns: [157, 1349, 164, 5585],
    part: 'rail pressure sensor',
    kind: 'pressure-sensor',
    about: 'The pressure in the common rail from which all injectors are fed.',
    high: { value: 207, unit: 'MPa', source: 'High-pressure diesel training article: 172 to 207 MPa at full load' },
    cautions: ['fuel-pressure'],
    first: {
      low: [
        NO_PROBING,
        FEED_FIRST,
        step(
          'running',
          null,
          'Then return flow of the injectors as the manual describes: one that leaks back takes the pressure away.',
          'fuel-pressure',
        ),
      ],
      high: [
        NO_PROBING,
        step(
          'off',
          METER,
          'Pressure control valve: plug, coil resistance by the manual, return line free.',
          'fuel-pressure',
        ),
      ],
      'volts-high': [NO_PROBING],
      'volts-low': [NO_PROBING],
    },
  },
  {
    spns: [1347, 1348, 1076, 931, 679],
    part: 'fuel pump control valve',
    kind: 'driver',
    about: 'The valve that meters fuel into the high-pressure pump.',
    cautions: ['fuel-pressure'],
    first: { any: [step('off', METER, 'Plug dry and tight, coil resistance by the manual.', 'fuel-pressure')] },
  },
  {
    spns: [5571],
    part: 'rail pressure relief valve',
    kind: 'actuator',
    about: 'The valve that saves the rail from too much pressure; once open it may stay open until the engine stops.',
    cautions: ['fuel-pressure'],
    first: {
      any: [
        NO_PROBING,
        step(
          'off',
          THIS_PROGRAM,
          'It opens because of something: look at rail pressure just before, at the control valve and at the supply.',
          'fuel-pressure',
        ),
      ],
    },
  },
  {
    spns: [651, 652, 653, 654, 655, 656, 657, 658],
    part: 'injector',
    kind: 'injector',
    about: 'One injector: 651 is cylinder 1, and so on in the order of the cylinders.',
    cautions: ['fuel-pressure'],
    first: {
      open: [
        step(
          'off',
          null,
          'Plug and the connector through the cylinder head or valve cover: oil in it, pins pushed back.',
          'key-off-measuring',
        ),
      ],
      calibration: [
        step(
          'any',
          null,
          'After a change of injector its code has to be written into the controller with the maker’s tool.',
        ),
      ],
      any: [
        step(
          'off',
          METER,
          'Controller asleep: resistance of the unplugged injector, compared with its neighbours. High voltage while running.',
          'key-off-measuring',
        ),
        step(
          'off',
          null,
          'Swap with the neighbour: if the fault moves with it, it is the injector; if it stays, the wire.',
          'fuel-pressure',
        ),
      ],
    },
  },
  {
    spns: [2797, 2798],
    part: 'injector bank driver',
    kind: 'injector',
    about: 'The output stage that feeds a group of injectors.',
    cautions: ['fuel-pressure'],
    first: {
      any: [
        step(
          'off',
          null,
          'Unplug the injectors of the bank one at a time, key off between: the fault goes with the shorted one.',
          'key-off-measuring',
        ),
      ],
    },
  },
  {
    spns: [1075],
    part: 'electric lift pump',
    kind: 'driver',
    about: 'The electric pump that feeds the engine from the tank; the controller runs it for a few seconds at key-on.',
    cautions: ['fuel-pressure'],
    first: {
      any: [
        step(
          'on',
          METER,
          'Voltage at the pump’s plug in the first seconds of key-on; fuse and relay; then its ground.',
          'fuel-pressure',
        ),
      ],
    },
  },
  {
    spns: [97, 6301],
    part: 'water in fuel probe',
    kind: 'switch',
    about: 'Two electrodes in the filter bowl that notice water.',
    cautions: ['fuel-pressure'],
    first: {
      any: [
        step(
          'off',
          'clean glass',
          'Drain the bowl into a clean glass and look: water lies under the fuel. If there was water, drain until only fuel comes and find out where it came from.',
          'fuel-pressure',
        ),
        step(
          'on',
          null,
          'Dry bowl and still reported: unplug the probe. If the report goes, the probe; if it stays, the wire.',
          'key-off-measuring',
        ),
      ],
    },
  },
  {
    spns: [96, 38],
    part: 'fuel level sender',
    kind: 'position-sensor',
    about: 'The float in the tank, read by engine, body or gauge.',
    first: {
      any: [
        step(
          'off',
          null,
          'Whose sender is it after the repower? Resistance range of tank sender and reader must match.',
        ),
      ],
    },
  },
  {
    spns: [183, 1440],
    part: 'fuel rate',
    kind: 'estimate',
    about: 'The fuel rate the controller works out from what it injects.',
  },
  {
    spns: [632, 2807],
    part: 'fuel shut-off valve',
    kind: 'driver',
    about: 'The valve that shuts the fuel off.',
    cautions: ['fuel-pressure'],
    first: { any: [step('on', METER, 'Voltage at its plug, key on; does it click?')] },
  },
  {
    spns: [1239],
    part: 'fuel leakage monitor',
    kind: 'estimate',
    about: 'The controller’s comparison of what is pumped and what is injected.',
    high: { value: 1, unit: 'L/h', source: PRACTICE },
    cautions: ['fuel-pressure'],
    first: {
      any: [
        step(
          'running',
          'cardboard',
          'Look for a leak with cardboard, from a distance, never with a hand. Then injector return flow by the manual.',
          'fuel-pressure',
        ),
      ],
    },
  },
]
