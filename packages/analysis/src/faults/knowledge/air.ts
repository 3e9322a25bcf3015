/** Air mass, exhaust gas recirculation, throttle, turbocharger. */
import { type Component, METER, PRACTICE, step, THIS_PROGRAM } from './component.js'

const FREE_MOVEMENT = step(
  'off',
  null,
  'Linkage and valve: look for soot and rust, and free movement only as the manual allows.',
  'hot-parts',
)
const NO_HAND = step(
  'off',
  null,
  'Never move a powered actuator by hand: key off first, and wait until the controller sleeps.',
  'key-off-measuring',
)

export const AIR: readonly Component[] = [
  {
    spns: [132],
    part: 'air-mass sensor',
    kind: 'air-mass',
    about:
      'The air the engine draws, measured by a hot film in a tube of exact bore: smoke limit and exhaust gas rest on it.',
    first: {
      'volts-low': [
        step('off', null, 'Is it plugged in at all? Two plugs of one shape nearby may be swapped.'),
        step('on', METER, 'Unplugged: power and ground at its plug, key on.', 'key-off-measuring'),
      ],
      'volts-high': [
        step(
          'on',
          METER,
          'Unplugged: power and ground at its plug, key on; then the signal pin, which should be near its resting level.',
          'key-off-measuring',
        ),
      ],
      implausible: [
        step(
          'off',
          'caliper',
          'Measure the inside of the tube where the sensor sits and compare with the bore the calibration is for.',
        ),
        step(
          'off',
          null,
          'Arrow on the sensor points to the engine; straight pipe before it as the maker asks; screens in place.',
        ),
        step(
          'off',
          null,
          'Look for leaks between sensor and turbocharger, and between turbocharger and manifold.',
          'hot-parts',
        ),
        step('on', THIS_PROGRAM, 'Still air, ten seconds: the reading must be near zero.'),
      ],
      low: [step('off', null, 'Air filter blocked, or air entering behind the sensor.')],
      high: [step('off', null, 'A boost hose off: air that has been measured escapes.', 'hot-parts')],
    },
  },
  {
    spns: [27],
    part: 'exhaust gas recirculation valve',
    kind: 'position-sensor',
    about: 'How far the valve that feeds exhaust gas back is open. Some call the valve itself by this number.',
    first: {
      'no-response': [
        step(
          'off',
          null,
          'Unplug the valve and look: water, heat, soot. Then free movement only as the manual allows.',
          'hot-parts',
        ),
        NO_HAND,
      ],
      implausible: [FREE_MOVEMENT, NO_HAND],
    },
  },
  {
    spns: [2791, 3821],
    part: 'exhaust gas recirculation valve control',
    kind: 'actuator',
    about: 'The valve that feeds exhaust gas back into the intake; here what the controller asks of it.',
    first: { any: [FREE_MOVEMENT, NO_HAND] },
  },
  {
    spns: [2659],
    part: 'exhaust gas recirculation flow',
    kind: 'estimate',
    about: 'The exhaust gas fed back, worked out from valve, pressure difference and temperature.',
    first: { any: [FREE_MOVEMENT] },
  },
  {
    spns: [51, 3464, 5419],
    part: 'intake throttle',
    kind: 'actuator',
    about: 'A flap in the intake that helps exhaust gas recirculation and stops the engine smoothly.',
    first: { any: [step('off', null, 'Flap free, no soot edge, no clamp or hose in its way.'), NO_HAND] },
  },
  {
    spns: [641, 642],
    part: 'variable turbocharger actuator',
    kind: 'actuator',
    about: 'The motor that moves the vanes of the turbocharger; it often talks to the engine over the bus.',
    first: {
      'no-response': [FREE_MOVEMENT, NO_HAND],
      calibration: [
        step(
          'any',
          null,
          'After a change of actuator or turbocharger it has to learn its stops, with the maker’s tool.',
        ),
      ],
      any: [step('on', METER, 'Power and ground at its plug under load; then its bus pair.', 'key-off-measuring')],
    },
  },
  {
    spns: [2795],
    part: 'variable turbocharger vanes',
    kind: 'position-sensor',
    about: 'Where the vanes of the turbocharger stand.',
    first: { any: [FREE_MOVEMENT, NO_HAND] },
  },
  {
    spns: [1188, 646, 1693],
    part: 'wastegate actuator',
    kind: 'actuator',
    about: 'The actuator that lets exhaust past the turbine so that boost does not rise too far.',
    first: {
      any: [
        step(
          'off',
          'hand pump',
          'Hose to the actuator on and whole; the rod moves and returns with a hand pump, as the manual says.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [103],
    part: 'turbocharger speed sensor',
    kind: 'pickup',
    about: 'The speed of the turbocharger shaft.',
    first: {
      high: [
        step(
          'off',
          null,
          'Too fast is real with a boost leak or a blocked filter at altitude: look there first.',
          'hot-parts',
        ),
      ],
    },
  },
  {
    spns: [354],
    part: 'humidity sensor',
    kind: 'smart-sensor',
    about: 'The humidity of the intake air.',
    high: { value: 100, unit: '%', source: PRACTICE },
    first: { any: [step('off', null, 'After a repower: is it fitted at all, and does this calibration want it?')] },
  },
]
