/**
 * An invented engine that behaves: healthy and broken runs of it as candump text, with the truth
 * about each. The same scenario, seed and options give the same text on every machine.
 */
export { SimulationError, type SimulationErrorCode } from './error.js'
export { SAMPLE_LOGS, type SampleLog, simulateSample } from './samples.js'
export type { ExpectedFault, Failure, Pattern, Scenario } from './scenario.js'
export { findScenario, SCENARIOS } from './scenarios/index.js'
export { type Simulation, type SimulationOptions, simulate, writeLog } from './simulate.js'
export type { InjectedFailure, PhaseName, TrueEpisode, TruePhase, Truth } from './truth.js'
