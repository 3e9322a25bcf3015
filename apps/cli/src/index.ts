export { type Captured, capture } from './capture.js'
export { EXIT_CODES, type ExitCode } from './command-error.js'
export { main } from './main.js'
export type { Io } from './output.js'
