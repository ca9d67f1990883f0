-- wrk -s mixed.lua URL -- FILE PATH FILE PATH ...: these requests in turn.
local list, n = {}, 0
function init(args)
    for i = 1, #args, 2 do
        local file = assert(io.open(args[i], "rb"))
        local body = file:read("*a")
        file:close()
        list[#list + 1] = wrk.format("POST", args[i + 1], {["Content-Type"] = "application/json"}, body)
    end
end
function request()
    n = n % #list + 1
    return list[n]
end
