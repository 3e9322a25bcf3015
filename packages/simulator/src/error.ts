/** Why a simulation cannot be made. */
export type SimulationErrorCode =
  | 'unknown-scenario'
  | 'unknown-sample'
  | 'bad-option'
  | 'not-finished'
  | 'no-definition'

/** A wrong call. */
export class SimulationError extends Error {
  readonly code: SimulationErrorCode

  constructor(code: SimulationErrorCode, message: string) {
    super(message)
    this.name = 'SimulationError'
    this.code = code
  }
}
