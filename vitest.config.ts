import { fileURLToPath } from 'node:url'
import { defineConfig } from 'vitest/config'

const source = (path: string) => fileURLToPath(new URL(path, import.meta.url))

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
    include: ['packages/*/src/**/*.test.ts', 'apps/*/src/**/*.test.ts', 'tests/**/*.test.ts'],
    // The viewer is not finished: its browser tests run with `FIRSTCRANK_E2E=1 npx vitest run tests/e2e` until it is.
    exclude: process.env['FIRSTCRANK_E2E'] ? ['**/node_modules/**'] : ['**/node_modules/**', 'tests/e2e/**'],
    testTimeout: 30_000,
  },
})
