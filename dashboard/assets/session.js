/* A session that has ended: the page is loaded anew, which leads to signing in and back here. */
(function () {
  "use strict";

  const ask = window.fetch;
  const SIGNED_OUT = 401;

  window.fetch = async function (...request) {
    const answer = await ask.apply(this, request);
    if (answer.status === SIGNED_OUT) window.location.reload();
    return answer;
  };
})();
