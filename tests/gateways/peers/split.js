'use strict';
// Splits texts as the npm package `split-sms` does: JSON lines in, JSON lines out.
const { split } = require(require.resolve('split-sms', { paths: [process.cwd(), __dirname, ...(process.env.NODE_PATH || '').split(':')] }));

let input = '';
process.stdin.on('data', (chunk) => { input += chunk; });
process.stdin.on('end', () => {
  for (const line of input.split('\n').filter(Boolean)) {
    const made = split(JSON.parse(line));
    process.stdout.write(JSON.stringify({ gsm: made.characterSet === 'GSM', parts: made.parts.map((part) => part.content) }) + '\n');
  }
});
