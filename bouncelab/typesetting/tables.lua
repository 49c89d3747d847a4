-- Tables whose columns have no widths of their own get them by what stands in them;
-- what has no side stands left.

local function longest(tab, count)
  local most = {}
  for k = 1, count do most[k] = 6 end
  local function look(rows)
    for _, row in ipairs(rows) do
      for k, cell in ipairs(row.cells) do
        local text = pandoc.utils.stringify(cell.contents)
        if most[k] then most[k] = math.max(most[k], utf8.len(text) or #text) end
      end
    end
  end
  look(tab.head.rows)
  for _, body in ipairs(tab.bodies) do look(body.body) end
  return most
end

function Table(tab)
  local alike, first = true, nil
  for _, spec in ipairs(tab.colspecs) do
    first = first or spec[2]
    if spec[2] ~= first then alike = false end
  end
  local count, total = #tab.colspecs, 0
  local weights = longest(tab, count)
  for k = 1, count do
    weights[k] = math.min(weights[k], 60) ^ 0.75
    total = total + weights[k]
  end
  tab.colspecs = tab.colspecs:map(function(spec) return spec end)
  for k, spec in ipairs(tab.colspecs) do
    local side = spec[1] == 'AlignDefault' and 'AlignLeft' or spec[1]
    local width = spec[2]
    if first and alike then width = weights[k] / total end
    tab.colspecs[k] = {side, width}
  end
  return tab
end
