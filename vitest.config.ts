import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

const source = (path: string) => fileURLToPath(new URL(path, import.meta.url))

/** Tests that need a browser and the built viewer. */
const BROWSER = 'tests/e2e/**/*.test.ts'

export default defineConfig({
  resolve: {
    // Tests read the packages' sources, so that a failing line is the line in the editor.
    alias: [
      { find: /^@firstcrank\/decoder\/catalog$/, replacement: source('packages/decoder/src/catalog/index.ts') },
      {
        find: /^@firstcrank\/(decoder|definitions|simulator|analysis|feed)$/,
        replacement: `${source('packages')}/$1/src/index.ts`,
      },
    ],
  },
  test: {
    testTimeout: 30_000,
    projects: [
      {
        extends: true,
        test: {
          name: 'code',
          include: ['packages/*/src/**/*.test.ts', 'apps/*/src/**/*.test.ts', 'tests/**/*.test.ts'],
          exclude: ['**/node_modules/**', BROWSER],
          sequence: { groupOrder: 0 },
        },
      },
      {
        // One after the other, and after all the rest: what a browser shows takes time on a busy machine.
        extends: true,
        test: { name: 'browser', include: [BROWSER], maxWorkers: 1, sequence: { groupOrder: 1 } },
      },
    ],
  },
})
