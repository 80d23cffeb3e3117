import { enableCompileCache } from 'node:module';

// Imported first: what is loaded after it is compiled once and found again at the next start.
enableCompileCache();
