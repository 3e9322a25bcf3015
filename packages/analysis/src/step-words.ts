/** What the key has to be for a step, in words. */
import type { Step } from './model.js'

/** By the state of the key; empty where it does not matter. */
export const KEY_WORDS: Readonly<Record<Step['key'], string>> = {
  off: 'Key off',
  on: 'Key on, engine off',
  cranking: 'Cranking',
  running: 'Engine running',
  any: '',
}
