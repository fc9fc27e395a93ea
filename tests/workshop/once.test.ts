import { test } from 'vitest';
import { analyse } from '../../src/pipeline/analyse.js';
import { runLoop, summarise } from './closed-loop.js';
const lib = async (m: string, c: string) => { const e=(t:string)=>new TextEncoder().encode(t); const {result, notices}=await analyse({name:'m.toml',content:e(m)},[{name:'b.csv',content:e(c)}]); if(!result) console.log(notices); return result as any; };
test('once', async () => { const t=Date.now(); const r=await runLoop(lib,{machines:10,seed:20000,knives:[2,3,4,5,6],hand:'narrow strips',rounds:4}); console.log(Date.now()-t,'ms', summarise(r)); }, 300000);
