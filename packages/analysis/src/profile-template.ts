/** A profile to be filled in: every field with what it means, every limit with our figure. */
import { LIMIT_IDS, LIMITS } from './limits.js'
import { PROFILE_VERSION } from './profile.js'

/** One commented field; `sample` is JSON text. */
type Field = readonly [name: string, sample: string, meaning: string]

/** Fields by section, in the order of the file. */
const SECTIONS: readonly (readonly [section: string, fields: readonly Field[]])[] = [
  [
    'engine',
    [
      ['displacement', '3.0', 'litres, all cylinders together; air mass and idle fuel cannot be judged without'],
      ['cylinders', '4', 'number'],
      ['idleSpeed', '750', 'rpm, warm'],
      ['volumetricEfficiency', '0.9', 'how well the cylinders fill'],
      ['ratedSpeed', '3200', 'rpm at rated power; moves the band of speeds in which boost is judged'],
    ],
  ],
  [
    'fitted',
    [
      ['pedal', 'true', 'an accelerator pedal wired to the engine controller'],
      ['egr', 'true', 'exhaust gas recirculation'],
      ['turbocharger', 'true', ''],
      ['airMassSensor', 'true', ''],
      ['intakeHeater', 'true', 'a grid heater in the intake that preheats'],
      ['oilPressureSwitch', 'false', 'a switch where others have a sensor'],
      ['alternator', 'true', ''],
    ],
  ],
  [
    'site',
    [
      ['altitude', '1600', 'm above sea level where the recording begins'],
      ['stationPressure', '83.5', 'kPa absolute as measured there, not reduced to sea level; instead of the altitude'],
    ],
  ],
  ['electrical', [['volts', '12', '12 or 24']]],
  [
    'air',
    [
      ['tubeBore', '70', 'mm inside, of the tube the air-mass meter sits in'],
      ['calibratedBore', '70', 'mm inside, of the tube the calibration is for'],
    ],
  ],
  [
    'fuel',
    [
      ['tank', '90', 'litres'],
      ['linesEmptied', 'false', 'lines or filter were empty before this start: it may crank longer'],
    ],
  ],
  [
    'oil',
    [
      ['remoteFilter', 'false', 'the filter hangs on hoses'],
      ['filterEmpty', 'false', 'the filter was empty before this start: pressure may come later, once'],
      [
        'pressureMap',
        '{ "speeds": [750, 2000], "temperatures": [20, 90], "pressure": [[430, 430], [125, 330]], "source": "manual, page" }',
        'kPa: one row for each oil temperature, one figure for each speed',
      ],
    ],
  ],
  [
    'run',
    [
      ['firstStart', 'false', 'the first start after the engine was fitted'],
      ['restedHours', '12', 'hours it stood before the recording began'],
      ['blockHeater', 'false', 'a block heater was on, or the sun shone on one side'],
    ],
  ],
]

/** The file's text. It is a valid profile as it stands: what is not filled in stays a comment. */
export function profileTemplate(): string {
  const sections = SECTIONS.map(([section, fields]) => {
    const lines = fields.map(([name, sample, meaning]) => `    // "${name}": ${sample},${meaning && `  // ${meaning}`}`)
    return `  "${section}": {\n${lines.join('\n')}\n  },`
  })
  const limits = LIMIT_IDS.map((id) => {
    const { value, unit, what } = LIMITS[id]
    return `    // "${id}": ${value},  // ${unit}. ${what}`
  })
  return `// An engine profile. What stands behind // is a comment. To fill in a line, take the slashes at its
// beginning away and put your figure in. The engine maker's figure always wins over ours.
{
  "version": ${PROFILE_VERSION},
  // Reports name this as the owner of the figures below.
  "title": "My engine",
  // "source": "Installation manual, edition, page",
  // "units": "metric",  // or "us"
${sections.join('\n')}
  // Who must be on the bus: "sa" is the source address.
  "nodes": [
    // { "sa": 0, "name": "Engine" },
  ],
  // Boost above ambient, kPa: one row for each load, one figure for each speed.
  // "boostMap": { "speeds": [1000, 2000], "loads": [50, 100], "boost": [[8, 45], [20, 100]], "source": "manual, page" },
  // The maker's figures in the places of ours; a number, or { "value": 13.2, "source": "manual, page" }.
  "limits": {
${limits.join('\n')}
  }
}
`
}
