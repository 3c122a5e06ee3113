// The page's scripts ask for a typesetter of formulas; no page of ours holds one.
window.MathJax = { Hub: { Config() {}, Configured() {}, Queue() {}, Register: { StartupHook() {} } } };
