/** The recordings kept with the project: which scenario, seed and length, and how they are stored. */
import { SimulationError } from './error.js'
import { type Simulation, type SimulationOptions, simulate } from './simulate.js'

/** One recording to be made. */
export interface SampleLog {
  /** File name; compressed with gzip where it ends in `.gz`. */
  readonly file: string
  readonly scenario: string
  readonly options: SimulationOptions
  /** One line for the list of samples. */
  readonly about: string
}

/** All of them: about 11 MB in their stored form. */
export const SAMPLE_LOGS: readonly SampleLog[] = [
  {
    file: 'clean-first-start.log.gz',
    scenario: 'clean-first-start',
    options: { seed: 1 },
    about: 'A clean first start at 5 °C: lamp, heater, crank, oil pressure, idle, shutdown.',
  },
  {
    file: 'missing-air-mass-signal.log.gz',
    scenario: 'missing-air-mass-signal',
    options: { seed: 2 },
    about: 'A first start without the air-mass signal: its plug was forgotten.',
  },
  {
    file: 'heater-link-open.log.gz',
    scenario: 'heater-link-open',
    options: { seed: 3 },
    about: 'The heater story: the lamp burns, the battery does not sag, the engine needs eleven seconds.',
  },
  {
    file: 'five-volt-short.log.gz',
    scenario: 'five-volt-short',
    options: { seed: 4 },
    about: 'The 5 V supply of three sensors shorts, at first once, then in bends.',
  },
  {
    file: 'blocked-oil-hose.log',
    scenario: 'blocked-oil-hose',
    options: { seed: 5 },
    about: 'No oil pressure after the first start; stopped after ten seconds. Short and not compressed.',
  },
  {
    file: 'pedal-wiper-before.log.gz',
    scenario: 'pedal-wiper-before',
    options: { seed: 6, duration: 1800 },
    about: 'Half an hour of driving with an intermittent pedal fault: the run before the repair.',
  },
  {
    file: 'pedal-wiper-after.log.gz',
    scenario: 'pedal-wiper-after',
    options: { seed: 7, duration: 1300 },
    about: 'Twenty minutes, most of them idling, after the repair: too little to prove it.',
  },
  {
    file: 'healthy-drive.log.gz',
    scenario: 'healthy-drive',
    options: { seed: 8 },
    about: 'A long drive with nothing wrong: cold start, pass, village, valley, hot idle.',
  },
]

/**
 * Starts making one of {@link SAMPLE_LOGS}; the caller stores the chunks, compressed where the name says so.
 *
 * @throws {SimulationError} `unknown-sample`
 */
export function simulateSample(file: string): Simulation {
  const sample = SAMPLE_LOGS.find((candidate) => candidate.file === file)
  if (!sample) throw new SimulationError('unknown-sample', `no sample is called "${file}"`)
  return simulate(sample.scenario, sample.options)
}
