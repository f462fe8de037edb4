/** The style sheet of the coverage page: screen, dark and light, and paper; an open row is told by its edge and weight, not by colour. */
export const COVERAGE_STYLE = `
:root{color-scheme:light dark}
*{box-sizing:border-box}
body{margin:0;font:16px/1.4 "B612","Source Sans 3",Verdana,sans-serif}
main{max-width:64rem;margin:0 auto;padding:1rem}
h1{font-size:1.5rem;margin:0}
h2{font-size:1.2rem;margin:2.2rem 0 .5rem;border-bottom:2px solid;break-after:avoid}
h2 small{font-weight:400}
.project{margin:.2rem 0}
.caution{border:2px solid;padding:.4rem .6rem}
.left-out,.estimate{font-style:italic}
table{border-collapse:collapse;width:100%;margin:1rem 0}
caption{text-align:left;font-weight:700;padding:.3rem 0;break-after:avoid}
th,td{border-top:1px solid;padding:.25rem .5rem;text-align:left;vertical-align:top;overflow-wrap:anywhere}
tbody th{font-weight:400}
tr{break-inside:avoid}
tr.open th{border-left:4px solid;font-weight:700}
.killer{border:1px solid;padding:0 .3rem;font-size:.8em;white-space:nowrap}
.story{margin-left:1.5rem;width:calc(100% - 1.5rem);font-size:.9em;break-inside:avoid}
.story caption{font-weight:400;font-style:italic}
.story th{white-space:nowrap;width:6rem}
a{color:inherit}
:focus-visible{outline:3px solid;outline-offset:2px}
thead{display:table-header-group}
@media print{body{font-size:9.5pt;color:#000;background:#fff}main{max-width:none;padding:0}a{text-decoration:none}}
`;
