import { fileURLToPath } from 'node:url'
import { defineConfig, mergeConfig } from 'vitest/config'
import base from '../../vitest.config.js'

// One after the other: each wants the machine for itself.
export default mergeConfig(
  { ...base, test: {} },
  defineConfig({
    root: fileURLToPath(new URL('../..', import.meta.url)),
    test: {
      include: ['tests/soak/*.soak.ts'],
      fileParallelism: false,
      hookTimeout: 60_000,
      disableConsoleIntercept: true,
    },
  }),
)
