import fc from 'fast-check';

// The same cases in every run, so that a red run is about the change at hand. PROPERTY_SEED tries others.
fc.configureGlobal({ seed: Number(process.env.PROPERTY_SEED ?? '20261125') });
